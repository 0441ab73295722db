# SPDX-License-Identifier: MIT
"""Chromium without a window, and what the tests of the page ask of it."""
import json
import tempfile
import unittest

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By

FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync",
         "--autoplay-policy=no-user-gesture-required", "--mute-audio"]

# Waits until `ready()` is true, then hands on `value()`; gives up after 60 s.
WAIT = """
const done = arguments[arguments.length - 1];
const began = Date.now();
const look = () => {
    let good = false;
    try { good = (() => { %s })(); } catch (error) { done("error: " + error); return; }
    if (good) done(good); else if (Date.now() - began > 60000) done(null); else setTimeout(look, 5);
};
look();
"""

# An ear on the page's own output, behind its volume: strongest partial in Hz, level, and which cells are marked.
EAR = """
if (!window.ear || window.ear.context !== page.sound.context) {
    window.ear = page.sound.context.createAnalyser();
    page.sound.master.connect(window.ear);
    window.earOpened = page.sound.context.currentTime;
}
window.ear.fftSize = %d;
window.ear.smoothingTimeConstant = 0;
window.ear.minDecibels = -160;
window.hear = () => {
    const bins = new Float32Array(window.ear.frequencyBinCount);
    window.ear.getFloatFrequencyData(bins);
    let at = 3;
    for (let i = 3; i + 1 < bins.length; ++i) if (bins[i] > bins[at]) at = i;
    const [a, b, c] = [bins[at - 1], bins[at], bins[at + 1]];
    const shift = 0.5 * (a - c) / (a - 2 * b + c);
    const wave = new Float32Array(window.ear.fftSize);
    window.ear.getFloatTimeDomainData(wave);
    return {hz: (at + shift) * page.sound.context.sampleRate / window.ear.fftSize,
            rms: Math.sqrt(wave.reduce((sum, x) => sum + x * x, 0) / wave.length),
            marked: [...document.querySelectorAll("td.sounds")].map((cell) => cell.getAttribute("aria-label"))};
};
"""

# A copy of a plot's picture, to look at its ink.
PICTURE = """
window.pictureOf = (plot) => {
    const {width, height} = plot.ctx.canvas;
    const copy = new OffscreenCanvas(width, height).getContext("2d", {willReadFrequently: true});
    copy.drawImage(plot.ctx.canvas, 0, 0);
    const image = copy.getImageData(0, 0, width, height).data;
    const at = (x, y) => [...image.slice(4 * (y * width + x), 4 * (y * width + x) + 4)];
    return {at, dark: (x, y) => { const [r, g, b, alpha] = at(x, y); return alpha > 128 && r + g + b < 300; }};
};
"""


class PageTest(unittest.TestCase):
    """One browser a class; after each test nothing may have been fetched and nothing complained of."""
    folder = None

    @classmethod
    def setUpClass(cls):
        cls.home = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        options = Options()
        options.binary_location = "/usr/bin/chromium"
        for flag in FLAGS + ["--user-data-dir=" + cls.home.name]:
            options.add_argument(flag)
        options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
        cls.browser = webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)
        cls.browser.set_script_timeout(120)
        cls.browser.get("about:blank")
        for log in ("browser", "performance"):  # the browser's own first tab
            cls.browser.get_log(log)

    @classmethod
    def tearDownClass(cls):
        cls.browser.quit()
        cls.home.cleanup()

    def tearDown(self):
        complaints = [entry for entry in self.browser.get_log("browser") if entry["level"] in ("WARNING", "SEVERE")]
        self.assertEqual(complaints, [])
        asked = []
        for entry in self.browser.get_log("performance"):
            message = json.loads(entry["message"])["message"]
            if message["method"] in ("Network.requestWillBeSent", "Network.webSocketCreated"):
                asked.append(message["params"].get("request", message["params"])["url"])
        self.assertEqual([url for url in asked if url != self.address], [])
        self.assertIn(self.address, asked, "the log of requests is not kept")

    def open(self, name, width=1280, height=900):
        self.browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
            "width": width, "height": height, "deviceScaleFactor": 1, "mobile": False})
        self.address = "file://%s/%s" % (self.folder, name)
        self.browser.get(self.address)
        self.comparison = json.loads(self.run_script(
            "return document.getElementById('comparison').textContent"))

        self.run_script(PICTURE)

    def run_script(self, script, *arguments):
        return self.browser.execute_script(script, *arguments)

    def wait(self, condition):
        """Waits until the body of JavaScript returns something true, and gives that."""
        found = self.browser.execute_async_script(WAIT % condition)
        self.assertIsNotNone(found, "waited a minute in vain for: " + condition)
        self.assertNotIn("error: ", str(found))
        return found

    def hear(self, condition, size):
        """What an ear of so many samples hears once the condition is true."""
        return self.wait("if (!page.sound.context) return false;" + EAR % size +
                         "const full = page.sound.context.currentTime - window.earOpened >"
                         " window.ear.fftSize / page.sound.context.sampleRate + 0.05;"
                         "return full && (() => { %s })() && window.hear();" % condition)

    def all(self, selector):
        return self.browser.find_elements(By.CSS_SELECTOR, selector)

    def one(self, selector):
        return self.browser.find_element(By.CSS_SELECTOR, selector)

    def assert_no_sideways_scroll(self):
        wide, window = self.run_script("return [document.documentElement.scrollWidth, innerWidth]")
        self.assertLessEqual(wide, window)
