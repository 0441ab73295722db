# SPDX-License-Identifier: MIT
"""page_in_browser.py FOLDER [SUITE]: the pages that canebrake_write_pages put into FOLDER, in a real browser."""
import math
import re
import sys
import unittest

from browser import PageTest
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import Select

DYNAMICS = ["pp", "mf", "ff"]


def hertz(sounding):
    return 440.0 * 2.0 ** ((sounding - 69) / 12)


def cents(hz, reference):
    return 1200.0 * math.log2(hz / reference)


def number(text):
    return float(text.replace("−", "-"))


class Tones(PageTest):
    def setUp(self):
        self.open("tones.html")

    def place(self, table, note, dynamic):
        """The cell of a map: the loudest dynamic stands on top."""
        return self.run_script("const cell = document.querySelectorAll('table.map')[arguments[0]]"
                               ".tBodies[0].rows[arguments[1]].cells[arguments[2] + 1];"
                               "cell.scrollIntoView({block: 'nearest'}); return cell;",
                               table, len(DYNAMICS) - 1 - DYNAMICS.index(dynamic), note)

    def tone(self, side, note, dynamic):
        return self.comparison["sides"][side]["notes"][note]["tones"][DYNAMICS.index(dynamic)]

    def sounding(self, side, note):
        return self.comparison["sides"][side]["notes"][note]["sounding"]["number"]

    def hear(self, seconds):
        """What is heard once the note has sounded so long."""
        return super().hear("return page.sound.voice && page.sound.position() > %f;" % seconds, 16384)

    def test_each_cell_prints_its_value(self):
        for key, digits in (("level", lambda m: m["level_db"]), ("speaking", lambda m: m["speaking_ms"]),
                            ("pitch", lambda m: m["cents"]), ("fundamental", lambda m: m["fundamental_share_db"])):
            Select(self.one("#measure")).select_by_value(key)
            for table, side in enumerate(self.comparison["sides"]):
                shown = self.run_script("return [...document.querySelectorAll('table.map')[arguments[0]].tBodies[0].rows]"
                                        ".map(row => [...row.cells].slice(1).map(cell => cell.firstChild.textContent))",
                                        table)
                self.assertEqual(len(shown), 3)
                for row, dynamic in zip(shown, reversed(DYNAMICS)):
                    self.assertEqual(len(row), 40)
                    for text, note in zip(row, side["notes"]):
                        if not note["on_instrument"]:
                            self.assertEqual(text, "–")
                            continue
                        value = digits(note["tones"][DYNAMICS.index(dynamic)]["measured"])
                        self.assertLessEqual(abs(number(text) - value), 0.5001)

    def test_maps_are_tables_with_notes_and_registers(self):
        tables = self.all("table.map")
        self.assertEqual(len(tables), 3)  # two sides and their difference
        for table in tables:
            bands = table.find_elements(By.CSS_SELECTOR, "tr.bands th")
            self.assertEqual([band.text for band in bands], ["chalumeau", "throat", "clarion", "altissimo"])
            self.assertEqual([band.get_attribute("colspan") for band in bands], ["15", "4", "14", "7"])
            names = [head.text for head in table.find_elements(By.CSS_SELECTOR, "tr.notes th")]
            self.assertEqual(names[:4] + names[-1:], ["written", "E3", "F3", "F♯3", "G6"])
            rows = [head.text for head in table.find_elements(By.CSS_SELECTOR, "tbody th")]
            self.assertEqual(rows, ["ff", "mf", "pp"])
            self.assertTrue(table.find_element(By.TAG_NAME, "caption").text)

    def test_a_map_reads_without_colour(self):
        lightness = self.run_script("""
            const parts = (colour) => colour.match(/[\\d.]+/g).slice(0, 3).map(Number);
            const light = (colour) => { const [r, g, b] = parts(colour).map((part) => {
                const x = part / 255; return x <= 0.04045 ? x / 12.92 : ((x + 0.055) / 1.055) ** 2.4; });
                return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
            return [...document.querySelectorAll('table.map tbody td')].map((cell) => {
                const style = getComputedStyle(cell);
                const [one, other] = [light(style.color), light(style.backgroundColor)];
                return {contrast: (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05), ground: other,
                        spread: Math.max(...parts(style.backgroundColor)) - Math.min(...parts(style.backgroundColor)),
                        text: cell.firstChild.textContent, size: parseFloat(style.fontSize)}; });""")
        self.assertEqual(len(lightness), 3 * 120)
        for cell in lightness:  # WCAG 2.2, success criterion 1.4.3: 4.5 to 1
            self.assertGreaterEqual(cell["contrast"], 4.5)
            self.assertLess(cell["spread"], 20)  # hardly a hue
            self.assertGreaterEqual(cell["size"], 12)
        grounds = sorted((number(cell["text"]), cell["ground"]) for cell in lightness[:120])
        self.assertGreater(grounds[0][1] - grounds[-1][1], 0.5)  # softest pale, loudest dark
        off = self.place(1, 0, "mf")
        self.assertIn("repeating-linear-gradient", off.value_of_css_property("background-image"))
        self.assertIn("not on this instrument", off.get_attribute("aria-label"))
        broken = self.place(1, 39, "pp")
        self.assertIn("repeating-linear-gradient", broken.value_of_css_property("background-image"))
        self.assertEqual(broken.find_element(By.CSS_SELECTOR, ".mark").text, "✕")
        self.assertEqual(self.place(0, 10, "mf").value_of_css_property("background-image"), "none")
        legend = self.one(".maps .legend").text
        for words in ("✕ not in register", "L late", "▴ sharp", "▾ flat", "D dull"):
            self.assertIn(words, legend)

    def test_marks_stand_for_the_words_of_the_tone(self):
        signs = {"late": "L", "sharp": "▴", "flat": "▾", "dull": "D", "not in register": "✕"}
        shown = self.run_script("return [...document.querySelector('table.map').tBodies[0].rows]"
                                ".map(row => [...row.cells].slice(1).map(cell => cell.lastChild.textContent))")
        for row, dynamic in zip(shown, reversed(DYNAMICS)):
            for note, text in enumerate(row):
                self.assertEqual(text, "".join(signs[word] for word in self.tone(0, note, dynamic)["words"]))

    def stem_tops(self, chart):
        """Where each harmonic's stem is inked, against where its level lies: uppermost ink in pixels, per harmonic."""
        return self.run_script("""
            const plot = page[arguments[0]].plot;
            const {dark} = pictureOf(plot);
            const tops = (series) => plot.data[0].map((h, index) => {
                const aside = plot.data[2].some((value) => value !== null) ? (series === 1 ? -0.16 : 0.16) : 0;
                const x = Math.round(plot.valToPos(h + aside, 'x', true));
                let y = Math.round(plot.bbox.top);
                const floor = Math.round(plot.bbox.top + plot.bbox.height) - 2;
                while (y < floor && ![-1, 0, 1].some((step) => dark(x + step, y))) ++y;
                return {top: y, floor, expected: plot.data[series][index] === null ? null
                    : plot.valToPos(plot.data[series][index], 'y', true)}; });
            return [tops(1), tops(2)];""", chart)

    def test_the_spectrum_follows_the_pointer(self):
        seen = []
        for table, note, dynamic in ((0, 3, "ff"), (0, 20, "mf")):
            ActionChains(self.browser).move_to_element(self.place(table, note, dynamic)).perform()
            side = self.comparison["sides"][table]
            tone = self.tone(table, note, dynamic)
            text = self.one("#sentence").text
            seen.append(text)
            self.assertTrue(text.startswith(side["notes"][note]["written"]["name"].replace("b", "♭")), text)
            self.assertIn(", %s, %s" % (dynamic, side["name"]), text)
            self.assertIn("%.1f dB" % tone["measured"]["level_db"], text.replace("−", "-"))
            self.assertIn(side["notes"][note]["fingering"], text)
            stems, others = self.stem_tops("here")
            for harmonic, stem in enumerate(stems):
                level = tone["measured"]["harmonics_db"][harmonic]
                if level is None:
                    self.assertGreaterEqual(stem["top"], stem["floor"])
                    continue
                # the head's radius is 3.6 px
                self.assertLessEqual(abs(stem["top"] + 3.6 - min(stem["expected"], stem["floor"] + 2)), 3, harmonic)
            # the heights are those of the levels: both ends of the axis by the page's own scale
            low, high = stems[15], stems[0]
            self.assertGreater(low["top"], high["top"])
            self.assertTrue(all(stem["expected"] is None for stem in others))
        self.assertNotEqual(*seen)
        self.assertIn("aria-live", self.one("#sentence").get_attribute("outerHTML"))

    def test_leaving_the_map_returns_to_the_cell_with_the_focus(self):
        self.place(0, 5, "mf").click()
        ActionChains(self.browser).move_to_element(self.place(0, 9, "mf")).perform()
        self.assertIn("C♯4", self.one("#sentence").text)
        ActionChains(self.browser).move_to_element(self.one("h1")).perform()
        self.assertTrue(self.one("#sentence").text.startswith("A3"))

    def focused(self):
        return self.run_script("return document.activeElement.getAttribute('aria-label')")

    def test_arrow_keys_walk_over_a_map(self):
        first = self.one("table.map td[tabindex='0']")
        self.run_script("arguments[0].focus()", first)
        walk = [("", "E3 ff"), (Keys.ARROW_LEFT, "E3 ff"), (Keys.ARROW_UP, "E3 ff"), (Keys.ARROW_RIGHT, "F3 ff"),
                (Keys.ARROW_DOWN, "F3 mf"), (Keys.ARROW_DOWN, "F3 pp"), (Keys.ARROW_DOWN, "F3 pp"),
                (Keys.END, "G6 pp"), (Keys.ARROW_RIGHT, "G6 pp"), (Keys.ARROW_UP, "G6 mf"), (Keys.HOME, "E3 mf")]
        for key, name in walk:
            if key:
                self.browser.switch_to.active_element.send_keys(key)
            self.assertTrue(self.focused().startswith(name + ","), (key, name, self.focused()))
            self.assertTrue(self.one("#sentence").text.startswith(name.split()[0]))
        self.assertEqual(len(self.all("table.map")[0].find_elements(By.CSS_SELECTOR, "td[tabindex='0']")), 1)
        outline = self.browser.switch_to.active_element.value_of_css_property("outline-style")
        self.assertEqual(outline, "solid")

    def test_tab_reaches_every_control_and_map(self):
        self.run_script("document.activeElement.blur()")
        reached = set()
        for _ in range(40):
            ActionChains(self.browser).send_keys(Keys.TAB).perform()
            reached.add(self.run_script("const at = document.activeElement; return at.id || at.textContent.slice(0, 12)"
                                        " + (at.closest('table.map') ? ' in a map' : '')"))
        self.assertIn("volume", reached)
        self.assertIn("measure", reached)
        self.assertIn("repeat", reached)
        for button in ("Stop", "Take as A", "Take as B", "A / B"):
            self.assertIn(button, reached)
        self.assertEqual(len([name for name in reached if name.endswith("in a map")]), 3, reached)

    def test_enter_plays_the_cell_at_its_pitch(self):
        for table, note, dynamic, key in ((0, 0, "ff", Keys.ENTER), (0, 39, "mf", " "), (1, 17, "pp", Keys.ENTER)):
            place = self.place(table, note, dynamic)
            self.run_script("arguments[0].focus()", place)
            place.send_keys(key)
            heard = self.hear(0.75)
            self.assertEqual(self.run_script("return page.sound.context.state"), "running")
            self.assertLess(abs(cents(heard["hz"], hertz(self.sounding(table, note)))), 20)
            level = self.tone(table, note, dynamic)["measured"]["level_db"]
            # a sine of level L has an RMS of L - 3 dB; the volume is at -12 dB
            self.assertAlmostEqual(20 * math.log10(heard["rms"]), level - 3.01 - 12.0, delta=1.5)
            self.assertEqual(heard["marked"], [place.get_attribute("aria-label")])
            self.wait("return page.sound.voice === null;")
            self.assertNotIn("sounds", place.get_attribute("class"))

    def test_a_click_plays_the_cell(self):
        self.place(1, 12, "mf").click()
        heard = self.hear(0.75)
        self.assertLess(abs(cents(heard["hz"], hertz(self.sounding(1, 12)))), 20)

    def test_a_cell_off_the_instrument_stays_silent(self):
        self.place(1, 0, "mf").click()
        self.assertIsNone(self.run_script("return page.sound.voice"))
        self.assertIn("not on this instrument", self.one("#sentence").text)

    def test_the_volume_starts_low_and_can_be_turned_up(self):
        slider = self.one("#volume")
        self.assertEqual(slider.get_attribute("value"), "-12")
        self.assertIn("starts low", self.one(".how").text)
        self.place(0, 3, "mf").click()
        low = self.hear(0.5)["rms"]
        self.run_script("page.hearing.stop()")
        slider.send_keys(Keys.ARROW_RIGHT * 6)
        self.assertEqual(self.one(".level").text, "−6 dB")
        self.place(0, 3, "mf").click()
        high = self.hear(0.6)["rms"]
        self.assertAlmostEqual(20 * math.log10(high / low), 6.0, delta=0.7)

    def test_x_goes_from_a_to_b_at_the_same_place_in_the_note(self):
        self.one("#repeat").click()
        first = self.place(0, 4, "mf")
        first.click()
        first.send_keys("a")
        second = self.place(1, 11, "ff")
        second.click()
        second.send_keys("b")
        self.assertEqual(first.get_attribute("data-taken"), "A")
        self.assertEqual(second.get_attribute("data-taken"), "B")
        both = self.stem_tops("both")
        for series, (side, note, dynamic) in zip(both, ((0, 4, "mf"), (1, 11, "ff"))):
            for stem, level in zip(series, self.tone(side, note, dynamic)["measured"]["harmonics_db"]):
                self.assertLessEqual(abs(stem["top"] + 3.6 - min(stem["expected"], stem["floor"] + 2)), 3)
        heard = self.hear(0.6)
        self.assertLess(abs(cents(heard["hz"], hertz(self.sounding(1, 11)))), 20)
        for side, note in ((0, 4), (1, 11), (0, 4)):
            before = self.wait("return page.sound.position() > 0.35 && page.sound.position() < 0.6 &&"
                               " [page.sound.position(), page.sound.context.currentTime];")
            ActionChains(self.browser).send_keys("x").perform()
            after = self.wait("return page.hearing.playing === page.cells[%d][%d].find((cell) => cell.dynamic === '%s') &&"
                              " [page.sound.position(), page.sound.context.currentTime];"
                              % (side, note, "mf" if side == 0 else "ff"))
            elapsed = after[1] - before[1]
            gone = (after[0] - before[0] - elapsed) % 1.25
            self.assertLess(min(gone, 1.25 - gone), 0.03)
            heard = self.wait("return page.sound.position() > 0.95 && page.sound.position() < 1.08 && window.hear();")
            self.assertLess(abs(cents(heard["hz"], hertz(self.sounding(side, note)))), 20)

    def test_buttons_do_what_the_keys_do(self):
        self.place(0, 4, "mf").click()
        buttons = {button.text: button for button in self.all(".panel button")}
        buttons["Take as A"].click()
        self.place(0, 8, "mf").click()
        buttons["Take as B"].click()
        self.assertEqual(self.place(0, 4, "mf").get_attribute("data-taken"), "A")
        self.assertEqual(self.place(0, 8, "mf").get_attribute("data-taken"), "B")
        self.assertIn("B less A", self.one("section[aria-label=Figures]").text)
        self.wait("return page.sound.voice === null;")
        buttons["A / B"].click()
        self.assertLess(abs(cents(self.hear(0.75)["hz"], hertz(self.sounding(0, 4)))), 20)

    def test_escape_stops(self):
        self.one("#repeat").click()
        place = self.place(0, 4, "mf")
        place.click()
        self.assertGreater(self.hear(0.5)["rms"], 1e-4)
        place.send_keys(Keys.ESCAPE)
        self.wait("return page.sound.voice === null && window.hear().rms < 1e-6;")

    def test_a_cell_of_the_difference_plays_one_and_then_the_other(self):
        place = self.place(2, 7, "mf")
        self.run_script("arguments[0].focus()", place)
        place.send_keys(Keys.ENTER)
        for side in (0, 1):
            self.wait("return page.hearing.playing && page.hearing.playing.sideIndex === %d;" % side)
            heard = self.hear(0.75)
            self.assertLess(abs(cents(heard["hz"], hertz(self.sounding(side, 7)))), 20)
        self.wait("return page.sound.voice === null && page.hearing.playing === null;")

    def test_differences_are_the_second_side_less_the_first(self):
        for key, field in (("level", "level_db"), ("speaking", "speaking_ms"), ("brightness", "centroid_hz")):
            Select(self.one("#measure")).select_by_value(key)
            for note in range(1, 40):
                first, second = (self.tone(side, note, "mf")["measured"][field] for side in (0, 1))
                expected = (second / first - 1) * 100 if key == "brightness" else second - first
                text = self.place(2, note, "mf").text.split("\n")[0]
                self.assertLessEqual(abs(number(text) - expected), 0.5001, (key, note))
        self.assertEqual(self.place(2, 0, "mf").text, "–")

    def test_the_choice_of_measure_reaches_captions_and_curves(self):
        captions = lambda: [caption.text for caption in self.all("table.map caption")]
        before = captions()
        Select(self.one("#measure")).select_by_value("noise")
        self.assertTrue(all("noise" in caption for caption in captions()))
        self.assertNotEqual(before, captions())
        self.assertIn("noise", self.one("section[aria-label='Along the notes'] h2").text)
        lists = self.run_script("return page.curves.map((curve) => curve.plot.data.slice(1))")
        self.assertEqual(lists[0][0], [-38.0] * 40)
        self.assertIsNone(lists[1][0][0])

    def test_registers_are_bands_behind_the_curves(self):
        names, inks = self.run_script("""
            const plot = page.curves[0].plot;
            const {at} = pictureOf(plot);
            const inkAt = (column) => at(Math.round(plot.valToPos(column, 'x', true)),
                                         plot.bbox.top + plot.bbox.height - 3).join();
            return [page.curves[0].groups.map((group) => group.name), [7.5, 16.5, 25.5, 36.5].map(inkAt)];""")
        self.assertEqual(names, ["chalumeau", "throat", "clarion", "altissimo"])
        self.assertEqual(inks[0], inks[2])
        self.assertEqual(inks[1], inks[3])
        self.assertNotEqual(inks[0], inks[1])

    def test_the_sound_is_in_time_to_the_end(self):
        """Half-height of the last note's rise, 148 s in, as the browser decodes it: within 2 ms."""
        self.place(0, 39, "ff").click()
        self.hear(0.1)
        clip = self.tone(0, 39, "ff")["clip"]
        length, rise = self.browser.execute_async_script("""
            const [start, done] = arguments;
            page.sound.unpack(0).then((buffer) => {
                const wave = buffer.getChannelData(0), rate = buffer.sampleRate;
                const peak = (seconds, width) => { let most = 0;
                    for (let i = Math.round((seconds - width / 2) * rate); i < (seconds + width / 2) * rate; ++i)
                        most = Math.max(most, Math.abs(wave[i]));
                    return most; };
                const steady = peak(start + 0.5, 0.2);
                let t = start;
                while (peak(t, 0.0008) < steady / 2) t += 0.0001;
                done([buffer.duration, t - start]); });""", clip["start_s"])
        self.assertAlmostEqual(length, clip["end_s"], delta=0.002)
        # begins after 0.1 s and rises evenly in 20 ms
        self.assertAlmostEqual(rise, 0.110, delta=0.002)

    def test_words_and_averages_stand_in_tables(self):
        words = self.one("section[aria-label='In words']").text
        self.assertEqual(words.count("a shade darker"), 12)
        tables = self.all("section[aria-label='By register'] table")
        self.assertEqual([len(table.find_elements(By.CSS_SELECTOR, "tbody tr")) for table in tables], [12, 12, 12])

    def test_forty_notes_fit_a_window_of_1280_and_nothing_scrolls_sideways_at_400(self):
        for width in (1280, 400):
            self.open("tones.html", width)
            self.assert_no_sideways_scroll()
            boxes = self.run_script("return [...document.querySelectorAll('.maps .scroll')]"
                                    ".map((box) => [box.scrollWidth, box.clientWidth])")
            for wide, room in boxes:
                self.assertEqual(wide <= room, width == 1280, (wide, room, width))
            clipped = self.run_script("return [...document.querySelectorAll('table.map tbody td')].filter((cell) =>"
                                      " [...cell.children].some((part) => part.getBoundingClientRect().width >"
                                      " cell.getBoundingClientRect().width + 0.5)).length")
            self.assertEqual(clipped, 0)

    def test_the_print_has_the_maps_and_not_the_controls(self):
        self.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
        self.assertFalse(self.one(".controls").is_displayed())
        self.assertFalse(self.one(".panel").is_displayed())
        self.assertTrue(all(table.is_displayed() for table in self.all("table.map")))
        self.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


class Lines(PageTest):
    def setUp(self):
        self.open("lines.html")

    def sounding(self, row):
        note = self.comparison["sides"][0]["notes"][row]
        return note["sounding"]["number"]

    def note_button(self, row, side):
        name = self.comparison["sides"][side]["name"].replace("B-flat", "B♭")
        return next(button for button in self.all("tr[data-row='%d'] button" % row)
                    if button.get_attribute("aria-label").endswith("on " + name))

    def hear_row(self, row, share=0.4):
        """What is heard when so much of a note is over: the row's, or of the next two on a busy machine."""
        heard = self.hear("const at = page.transport.now(); return page.transport.playing && at >= %f && at < %d &&"
                          " at %% 1 >= %f && (window.rowHeard = Math.floor(at) + 1);" % (row + share, row + 3, share), 4096)
        return heard, self.run_script("return window.rowHeard - 1")

    def assert_heard(self, row):
        heard, at = self.hear_row(row)
        self.assertLess(abs(cents(heard["hz"], hertz(self.sounding(at)))), 20, (row, at))

    def watch_starts(self):
        self.run_script("window.starts = []; const play = page.playFrom;"
                        "page.playFrom = (...what) => { window.starts.push(what); play.apply(page, what); };")

    def test_a_note_plays_from_there_on_its_side(self):
        self.watch_starts()
        for row, side in ((9, 0), (14, 1), (6, 2)):
            self.run_script("arguments[0].scrollIntoView({block: 'center'})", self.note_button(row, side))
            self.note_button(row, side).click()
            self.wait("return page.transport.playing && page.transport.side === %d;" % side)
            self.assert_heard(row)
            self.assertEqual(self.run_script("return window.starts.pop()"), [row, side])
            self.assertTrue(self.all("input[name=side]")[side].is_selected())
            self.assertTrue(self.all("tr.now"))
            self.run_script("page.transport.pause()")

    def test_another_side_goes_on_from_the_same_place_in_the_music(self):
        self.note_button(8, 0).click()
        self.hear_row(8, 0.5)
        for key, side, row in (("2", 1, 10), ("x", 2, 13), ("1", 0, 16)):
            before = self.run_script("return page.transport.now()")
            ActionChains(self.browser).send_keys(key).perform()
            after = self.wait("return page.transport.side === %d && page.transport.now();" % side)
            self.assertLess(after - before, 1.0)
            self.assertGreaterEqual(after, before - 0.01)
            seconds, place = self.run_script("return [page.sound.position(), page.transport.now()]")
            notes = self.comparison["sides"][side]["notes"]
            index = self.comparison["rows"][int(place)]["notes"][side]
            start, following = notes[index]["start_s"], notes[index + 1]["start_s"]
            # the two readings are a few ms apart
            self.assertAlmostEqual(start + (place - int(place)) * (following - start), seconds, delta=0.05)
            self.assert_heard(row)
        self.run_script("page.transport.pause()")

    def test_space_plays_and_pauses_and_goes_on(self):
        ActionChains(self.browser).send_keys(" ").perform()
        self.wait("return page.transport.playing && page.transport.now() > 2;")
        self.assertEqual(self.one("#play").text, "Pause")
        ActionChains(self.browser).send_keys(" ").perform()
        held = self.run_script("return page.transport.now()")
        self.assertFalse(self.run_script("return page.transport.playing"))
        ActionChains(self.browser).send_keys(" ").perform()
        after = self.wait("return page.transport.playing && page.transport.now();")
        self.assertLess(abs(after - held), 0.6)
        ActionChains(self.browser).send_keys(Keys.ESCAPE).perform()
        self.assertFalse(self.run_script("return page.transport.playing"))

    def test_the_mark_moves_with_the_music(self):
        self.one("#play").click()
        places = []
        for place in (1, 5):
            self.wait("return page.transport.now() > %d;" % place)
            mark = self.one(".now-mark")
            self.assertTrue(mark.is_displayed())
            places.append(mark.location["x"])
        self.assertGreater(places[1] - places[0], 100)
        self.assertIn("bar 2", self.one("#place").text)
        self.run_script("page.transport.pause()")

    def test_the_mark_steps_from_note_to_note_where_motion_is_unwelcome(self):
        self.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {
            "features": [{"name": "prefers-reduced-motion", "value": "reduce"}]})
        try:
            self.one("#play").click()
            seen = self.browser.execute_async_script("""
                const done = arguments[0], seen = new Set();
                const look = () => {
                    if (page.markAt !== null && page.transport.now() > 0) seen.add(page.markAt);
                    if (page.transport.now() > 4) done([...seen]); else requestAnimationFrame(look); };
                look();""")
            self.assertTrue(set(seen) <= {0, 1, 2, 3, 4, 5} and len(seen) >= 3, seen)
        finally:
            self.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
            self.run_script("page.transport.pause()")

    def test_a_click_in_a_curve_plays_from_there(self):
        self.watch_starts()
        over = self.all(".u-over")[1]
        self.run_script("arguments[0].scrollIntoView({block: 'center'})", over)
        x = self.run_script("return page.curves[1].curve.plot.valToPos(18, 'x')")
        ActionChains(self.browser).move_to_element_with_offset(over, x - over.size["width"] / 2, 0).click().perform()
        self.assert_heard(18)
        self.assertEqual(self.run_script("return window.starts"), [[18, 0]])
        self.run_script("page.transport.pause()")

    def test_at_the_end_it_stops(self):
        self.note_button(23, 0).click()
        self.wait("return page.transport.playing;")
        self.wait("return !page.transport.playing;")
        self.assertEqual(self.one("#play").text, "Play")

    def test_rows_show_each_side_and_the_differences_to_the_first(self):
        row = self.one("tr[data-row='9']").text
        for side in range(3):
            measured = self.comparison["sides"][side]["notes"][9 if side < 2 else 8]["measured"]
            self.assertIn("%.1f" % measured["level_db"], row.replace("−", "-"))
        self.assertIn("darker and softer", row)
        difference = next(one for one in self.comparison["differences"] if one["row"] == 9 and one["side"] == 2)
        self.assertIn("%.1f, %+d, %+d" % (difference["level_db"], difference["cents"],
                                          round((difference["centroid_ratio"] - 1) * 100)), row.replace("−", "-"))
        self.assertIn("no such note", self.one("tr[data-row='3']").text)
        whole = self.one("section[aria-label='On the whole']").text
        self.assertEqual(whole.count("beside B♭ studio: softer and a shade darker."), 2)
        self.assertIn("a remark on all", whole)
        self.assertIn("A studio: two notes are short", whole)

    def test_the_notes_that_change_most_can_be_had_alone(self):
        self.assertEqual(len(self.all("tr[data-row]")), 24)
        self.all("input[name=rows]")[0].click()
        self.assertEqual(len(self.all("tr[data-row]")), 8)

    def test_nothing_scrolls_sideways(self):
        for width in (1280, 400):
            self.open("lines.html", width)
            self.assert_no_sideways_scroll()


class Strange(PageTest):
    def test_a_line_of_two_thousand_notes_keeps_the_page_small(self):
        self.open("long.html")
        self.assertLess(self.run_script("return document.querySelectorAll('*').length"), 3000)
        self.assertEqual(len(self.all("tr[data-row]")), 40)
        self.all("input[name=rows]")[1].click()
        self.assertEqual(len(self.all("tr[data-row]")), 40)
        later = self.all(".row-choice button")[1]
        later.click()
        self.assertEqual(self.one("tr[data-row]").get_attribute("data-row"), "40")
        self.assertIn("41–80 of 2000", self.one(".row-choice .where").text)
        self.run_script("for (let i = 0; i < 60; ++i) arguments[0].click()", later)
        self.assertEqual(self.all("tr[data-row]")[-1].get_attribute("data-row"), "1999")
        self.assertFalse(later.is_enabled())
        self.assertLess(self.run_script("return document.querySelectorAll('*').length"), 3000)

    def test_what_changes_most_is_what_differs_most(self):
        self.open("long.html")
        rows = [int(row.get_attribute("data-row")) for row in self.all("tr[data-row]")]
        self.assertEqual(rows, sorted(rows))
        weight = {}
        for one in self.comparison["differences"]:
            size = (abs(one["loudness_lu"]) / 2 + abs(math.log(one["centroid_ratio"])) / math.log(1.1) +
                    abs(one["cents"]) / 10 + abs(one["speaking_ms"]) / 20)
            weight[one["row"]] = max(weight.get(one["row"], 0), size)
        least = min(weight[row] for row in rows)
        self.assertEqual(len(rows), 40)
        self.assertLessEqual(max(weight[row] for row in weight if row not in rows), least + 1e-9)

    def test_a_long_line_is_drawn_a_stretch_at_a_time(self):
        self.open("long.html")
        view = lambda: self.run_script("const x = page.curves[0].curve.plot.scales.x; return [x.min, x.max]")
        self.assertEqual([round(edge, 1) for edge in view()], [-0.6, 79.6])
        self.all("section[aria-label='Along the notes'] .pager button")[1].click()
        self.assertEqual([round(edge, 1) for edge in view()], [79.4, 159.6])

    def test_names_stay_text(self):
        self.open("names.html")
        self.assertIsNone(self.run_script("return window.broken === undefined ? null : window.broken"))
        names = [side["name"] for side in self.comparison["sides"]]
        self.assertEqual(self.run_script("return document.querySelector('h1').textContent"), " and ".join(names))
        self.assertEqual(self.all("img"), [])
        self.assertEqual(len(self.all("table.map")), 3)

    def test_sound_that_cannot_be_decoded_is_said_so(self):
        self.open("undecodable.html")
        self.assertEqual(self.one("#status").text, "")
        self.one("#play").click()
        self.wait("return document.getElementById('status').textContent !== '';")
        self.assertIn("cannot play", self.one("#status").text)
        self.assertEqual(self.one("#play").text, "Play")

    def test_a_page_without_sound_says_so(self):
        self.open("long.html")
        self.one("#play").click()
        self.wait("return document.getElementById('status').textContent !== '';")
        self.assertIn("no sound", self.one("#status").text)

    def test_nothing_can_be_fetched_even_if_asked(self):
        """The policy holds: a fetch from the page itself is refused. The browser complains, as it should."""
        self.open("tones.html")
        refused = self.browser.execute_async_script("""
            const done = arguments[0];
            fetch("data:text/plain,x").then(() => done("fetched"), (error) => done(error.name));""")
        self.assertEqual(refused, "TypeError")
        complaints = [entry["message"] for entry in self.browser.get_log("browser")]
        self.assertTrue(any(re.search("Content Security Policy", message) for message in complaints))


class Played(PageTest):
    """The pages that the program itself makes, with the model's own sound."""

    def assert_pitch(self, heard, sounding):
        """The strongest partial is a low harmonic of the note."""
        harmonic = round(heard["hz"] / hertz(sounding))
        self.assertIn(harmonic, range(1, 9))
        self.assertLess(abs(cents(heard["hz"] / harmonic, hertz(sounding))), 20, (heard, sounding))

    def test_a_cell_sounds_as_it_was_measured(self):
        self.open("played.html")
        heard_db, measured_db = [], []
        for table, side in enumerate(self.comparison["sides"]):
            for column, note in enumerate(side["notes"]):
                for row, tone in enumerate(reversed(note["tones"])):
                    cell = self.run_script("return document.querySelectorAll('table.map')[arguments[0]]"
                                           ".tBodies[0].rows[arguments[1]].cells[arguments[2] + 1]", table, row, column)
                    self.run_script("page.hearing.stop(); arguments[0].focus()", cell)
                    cell.send_keys(Keys.ENTER)
                    self.wait("return page.sound.voice !== null;")
                    heard = self.hear("return page.sound.voice && page.sound.position() > 0.7;", 8192)
                    self.assert_pitch(heard, note["sounding"]["number"])
                    heard_db.append(20 * math.log10(heard["rms"]))
                    measured_db.append(tone["measured"]["level_db"])
        self.assertEqual(len(heard_db), 2 * 3 * 2)
        apart = [heard - measured for heard, measured in zip(heard_db, measured_db)]
        self.assertLess(max(apart) - min(apart), 3)  # the same distance for all: the volume
        self.assertGreater(max(measured_db) - min(measured_db), 10)

    def test_a_line_plays_from_its_notes_on_each_side(self):
        self.open("played_lines.html")
        self.assertEqual(len(self.comparison["rows"]), 4)
        for row, side in ((1, 0), (2, 1)):
            name = self.comparison["sides"][side]["name"].replace("B-flat", "B♭")
            button = next(one for one in self.all("tr[data-row='%d'] button" % row)
                          if one.get_attribute("aria-label").endswith("on " + name))
            self.run_script("arguments[0].scrollIntoView({block: 'center'})", button)
            button.click()
            heard = self.hear("return page.transport.playing && page.transport.side === %d &&"
                              " page.transport.now() >= %f && page.transport.now() < %d;"
                              % (side, row + 0.4, row + 1), 8192)
            note = self.comparison["sides"][side]["notes"][self.comparison["rows"][row]["notes"][side]]
            self.assert_pitch(heard, note["sounding"]["number"])
            self.run_script("page.transport.pause()")


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit("page_in_browser.py FOLDER [SUITE[.TEST] ...]")
    PageTest.folder = sys.argv[1]
    unittest.main(argv=sys.argv[:1] + sys.argv[2:], verbosity=2)
