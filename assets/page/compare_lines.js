// SPDX-License-Identifier: MIT
// The page for one line on several sides, or several recordings: words, transport, curves, notes.

const stepwise = window.matchMedia("(prefers-reduced-motion: reduce)");

class LinesPage {
    constructor(comparison) {
        this.comparison = comparison;
        this.sides = comparison.sides;
        this.sound = new Sound();
    }

    about() {
        const {line, kind} = this.comparison;
        const what = kind === "recordings" ? "Recordings of one line" : "One line" +
            (line && line.part_name ? " (" + line.part_name + ")" : line && line.file ? " (" + line.file + ")" : "");
        return what + ": " + listed(this.sides.map((side) => sideTitle(side))) +
            ", set side by side note by note, " + this.comparison.rows.length + " notes.";
    }

    build(main) {
        this.transport = new Transport(this.comparison, this.sound, (...state) => this.moved(...state));
        this.rows = new RowTable(this.comparison, this);
        main.append(this.howTo(), this.controls(), this.summary(), this.curvesSection(),
                    element("section", {"aria-label": "Notes"}, element("h2", {}, "Note by note"), this.rows.box));
        document.addEventListener("keydown", (event) => this.key(event));
        this.moved(this.transport.place, 0, false);
    }

    howTo() {
        const keys = [["space", "play, pause"], ["1, 2 …", "go on with that side"], ["x", "go on with the next side"],
                      ["Escape", "stop"]];
        return howToRead(keys, "Play, and change sides while it plays: the other goes on from the same place in the " +
            "music. The curves have one line a side" + (this.comparison.rows.some((row) => row.bar) ?
            ", with the numbers of the bars under the notes" : "") + "; click in one, or on a note in the table, to " +
            "play from there.");
    }

    controls() {
        this.playButton = element("button", {type: "button", id: "play"}, "Play");
        this.playButton.addEventListener("click", () => this.transport.toggle());
        this.sideChoice = radioRow("Side", "side", this.sides.map((side, index) =>
            [String(index), (index + 1) + " " + sideName(side)]), "0", (value) => this.transport.choose(Number(value)));
        this.place = element("span", {class: "place", id: "place"});
        return soundControls(this.sound, this.playButton, this.sideChoice, this.place);
    }

    summary() {
        const rows = (this.comparison.summary || []).map((entry) =>
            [sideName(this.sides[entry.side]) + " less " + sideName(this.sides[entry.against]), ...differenceFigures(entry).slice(0, -1)]);
        const remarks = [...(this.comparison.remarks || []), ...this.sides.flatMap((side) =>
            (side.remarks || []).map((remark) => sideName(side) + ": " + remark))];
        const sentences = (this.comparison.summary || []).map((entry) =>
            element("p", {}, element("b", {}, sideName(this.sides[entry.side])), " beside " +
                sideName(this.sides[entry.against]) + ": " + inWords(entry) + "."));
        return element("section", {"aria-label": "On the whole"}, element("h2", {}, "On the whole"), ...sentences,
            rows.length ? plainTable("Means over the notes that both have", ["sides", ...differenceHeads.slice(1, -1)], rows)
                        : null,
            remarks.length ? element("ul", {class: "remarks"}, ...remarks.map((remark) => element("li", {}, remark)))
                           : null);
    }

    curvesSection() {
        const {rows} = this.comparison;
        const first = (row) => this.sides.map((side, index) => side.notes[row.notes[index]]).find(Boolean);
        const names = rows.map((row) => noteLabel(first(row)));
        const groups = registerGroups(rows.map((row) => first(row) || {}));
        const shown = ["pitch", "level", "brightness"].map(measureOf);
        this.curves = shown.map((measure) => {
            const scale = measure.key === "brightness" ? 1e-3 : 1;
            const lists = this.sides.map((side, index) => rows.map((row) => {
                const note = side.notes[row.notes[index]];
                const value = note && !note.silent ? valueOf(measure, note) : null;
                return value === null ? null : value * scale;
            }));
            const lines = this.sides.map((side, index) => ({name: sideName(side), values: lists[index]}));
            const curve = new Curves({label: measure.name, unit: measure.unit, names, groups, lines, height: 180,
                                      bars: rows.map((row) => row.bar ?? null)});
            curve.show(measure.name + " along the notes, a line a side", measure.unit, lists, airyRange(lists.flat()));
            this.addMark(curve);
            return {measure, curve};
        });
        return element("section", {"aria-label": "Along the notes"}, element("h2", {}, "Along the notes"),
            lineLegend(this.sides.map(sideName)), this.stretchChoice(),
            ...this.curves.flatMap(({measure, curve}) =>
                [element("h3", {}, capital(measure.name) + ", " + measure.unit), curve.holder]));
    }

    // A long line is drawn a stretch at a time; it follows the music.
    stretchChoice() {
        const count = this.comparison.rows.length;
        this.stretch = 0;
        if (count <= mostInView)
            return null;
        const stretches = Math.ceil(count / mostInView);
        this.turn = pager(() => this.turnTo(this.stretch - 1), () => this.turnTo(this.stretch + 1));
        this.turn.tell(0, stretches, "Notes 1–" + mostInView + " of " + count);
        return this.turn.box;
    }

    turnTo(stretch) {
        const count = this.comparison.rows.length;
        const first = stretch * mostInView;
        this.stretch = stretch;
        for (const {curve} of this.curves)
            curve.turnTo(first);
        this.turn.tell(stretch, Math.ceil(count / mostInView),
                       "Notes " + (first + 1) + "–" + Math.min(first + mostInView, count) + " of " + count);
        this.placeMarks();
    }

    // Where the music is: a line over the plot, moved without drawing the plot again.
    addMark(curve) {
        curve.mark = element("div", {class: "now-mark", hidden: ""});
        curve.plot.over.append(curve.mark);
        curve.plot.over.addEventListener("click", (event) => {
            const place = curve.plot.posToVal(event.clientX - curve.plot.over.getBoundingClientRect().left, "x");
            this.playFrom(Math.min(Math.max(0, Math.round(place)), this.comparison.rows.length - 1), this.transport.side);
        });
    }

    playFrom(row, side) {
        this.transport.play(side, row);
    }

    moved(place, side, playing) {
        const row = Math.min(Math.max(0, Math.floor(place + 1e-6)), this.comparison.rows.length - 1);
        this.playButton.textContent = playing ? "Pause" : "Play";
        this.sideChoice.querySelectorAll("input")[side].checked = true;
        const seconds = this.transport.times[side].time(place);
        const {bar, beat} = this.comparison.rows[row] || {};
        this.place.textContent = tenths(seconds) + " s" + (bar ? ", bar " + bar : "") +
            (present(beat) ? ", beat " + tidy(beat) : "");
        this.markAt = playing || place > 0 ? (stepwise.matches ? row : place) : null;
        if (playing && this.turn && Math.floor(row / mostInView) !== this.stretch)
            this.turnTo(Math.floor(row / mostInView));
        this.placeMarks();
        this.rows.follow(playing || place > 0 ? row : -1);
    }

    placeMarks() {
        for (const {curve} of this.curves) {
            const {min, max} = curve.plot.scales.x;
            curve.mark.hidden = this.markAt === null || this.markAt < min || this.markAt > max;
            if (!curve.mark.hidden)
                curve.mark.style.transform = "translateX(" + curve.plot.valToPos(this.markAt, "x").toFixed(1) + "px)";
        }
    }

    key(event) {
        if (event.altKey || event.ctrlKey || event.metaKey || takesKeys(event.target))
            return;
        const onControl = event.target instanceof Element && event.target.closest("button, input, summary") !== null;
        if (event.key === " " && !onControl)
            this.transport.toggle();
        else if (event.key === "x")
            this.transport.choose((this.transport.side + 1) % this.sides.length);
        else if (/^[1-9]$/.test(event.key))
            this.transport.choose(Number(event.key) - 1);
        else if (event.key === "Escape")
            this.transport.pause();
        else
            return;
        event.preventDefault();
    }
}

const noteLabel = (note) => note && (note.written || note.sounding) ? printed((note.written || note.sounding).name) : "";
