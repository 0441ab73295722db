// SPDX-License-Identifier: MIT
// The page for one note after the other at each dynamic: maps, spectrum, A and B, curves, tables.

class TonesPage {
    constructor(comparison) {
        this.comparison = comparison;
        this.sides = comparison.sides;
        this.dynamics = comparison.dynamics;
        this.cells = this.sides.map((side, index) => this.cellsOf(side, index));
        this.shown = this.settled = null;
        this.sound = new Sound();
        this.hearing = new Hearing(this.sound, () => this.refresh());
        this.measure = measures[0];
    }

    cellsOf(side, sideIndex) {
        return side.notes.map((note) => this.dynamics.map((dynamic, index) => {
            const tone = (note.on_instrument && note.tones[index]) || null;
            const words = tone ? tone.words || [] : [];
            return {side, sideIndex, note, dynamic: dynamic.name, tone, words, off: !tone,
                    broken: Boolean(tone) && (!tone.measured || tone.measured.in_register === false)};
        }));
    }

    // The cell of side 0 that is compared with this one: same printed note, or same sounding one.
    partner(cell) {
        const of = this.comparison.pitch === "sounding" ? "sounding" : "written";
        const note = this.sides[0].notes.findIndex((other) => other[of].number === cell.note[of].number);
        return note < 0 ? null : this.cells[0][note].find((other) => other.dynamic === cell.dynamic);
    }

    build(main) {
        const choice = element("select", {id: "measure"}, ...measures.map((measure) =>
            element("option", {value: measure.key}, measure.name)));
        choice.addEventListener("change", () => this.chooseMeasure(measureOf(choice.value)));
        this.repeat = element("input", {type: "checkbox", id: "repeat"});
        this.repeat.addEventListener("change", () => {
            this.hearing.repeats = this.repeat.checked;
            this.hearing.stop();
        });
        const stop = element("button", {type: "button"}, "Stop");
        stop.addEventListener("click", () => this.hearing.stop());
        main.append(
            this.howTo(),
            soundControls(this.sound, element("label", {}, "The maps show ", choice),
                          element("label", {}, this.repeat, " repeat the note"), stop));
        const work = element("div", {class: "work"}, this.mapsSection(), this.panel());
        main.append(work, this.figuresSection(), this.curvesSection(), this.wordsSection(), this.tablesSection());
        document.addEventListener("keydown", (event) => this.key(event));
        this.chooseMeasure(this.measure);
        this.shown = this.settled = this.maps[0].current();
        this.refresh();
    }

    about() {
        const pitch = this.comparison.pitch === "sounding" ? "the same sounding notes" : "the same printed notes";
        return capital(listed(this.sides.map(sideTitle))) + ", one note after the other, each held at " +
            listed(this.dynamics.map((dynamic) => dynamic.name)) + "." +
            (this.sides.length > 1 ? " Compared are " + pitch + "." : "");
    }

    howTo() {
        const keys = [["arrows", "walk over a map"], ["Enter or space", "hear the cell"], ["a, b", "take it as A or B"],
            ["x", "from A to B and back, at the same place in the note"], ["r", "repeat the note, or not"],
            ["Escape", "stop"]];
        return howToRead(keys, "Each map has the written notes across, by register, and the dynamics down, the loudest " +
            "on top. A cell’s number is what the map shows; its shade says the same. A letter or sign under it is a " +
            "word, explained above the maps. Hatched cells are off the instrument or did not settle in their register. " +
            "Point at a cell to see its harmonics; click it to hear it.");
    }

    mapsSection() {
        const sounding = this.comparison.pitch === "sounding";
        const maps = this.sides.map((side, index) => new NoteMap({
            name: sideTitle(side), side, dynamics: this.dynamics, sounding, page: this,
            cellAt: (note, dynamic) => this.cells[index][note][dynamic],
            describe: (cell, _, value) => this.describe(cell, value),
        }));
        this.maps = maps;
        this.stepMaps = this.sides.slice(1).map((side, index) => new NoteMap({
            name: sideName(side) + " less " + sideName(this.sides[0]), side, dynamics: this.dynamics, sounding, page: this,
            cellAt: (note, dynamic) => this.pairOf(this.cells[index + 1][note][dynamic]),
            describe: (cell, _, value) => this.describeStep(cell, value),
        }));
        return element("section", {class: "maps", "aria-label": "Maps"},
                       markLegend(this.cells.flat(2).map((cell) => cell.words)),
                       ...[...maps, ...this.stepMaps].map((map) => map.box));
    }

    pairOf(cell) {
        const first = this.partner(cell);
        const off = cell.off || !first || first.off;
        return {first, second: cell, note: cell.note, side: cell.side, dynamic: cell.dynamic, words: [], off,
                broken: !off && (cell.broken || first.broken)};
    }

    describe(cell, value) {
        const name = printed(cell.note.written.name) + " " + cell.dynamic;
        if (cell.off)
            return name + ", not on this instrument";
        return [name, this.measure.name + " " + withUnit(this.measure, value), ...cell.words].join(", ");
    }

    describeStep(cell, value) {
        const name = printed(cell.note.written.name) + " " + cell.dynamic;
        return value === null ? name + ", nothing to compare"
            : name + ", " + this.measure.name + " " + stepCell(this.measure, value) + " " + stepUnit(this.measure);
    }

    chooseMeasure(measure) {
        this.measure = measure;
        const value = (cell) => valueOf(measure, cell.tone);
        const step = (cell) => cell.off ? null : stepOf(measure, value(cell.first), value(cell.second));
        const share = shareOf(this.cells.flat(2).map(value), measure.centred, measure.ratio ? 200 : measure.step);
        for (const map of this.maps)
            map.fill({caption: capital(map.name) + ": " + measure.name + ", " + measure.explains + ".", value, share,
                      write: measure.cell});
        const size = (pair) => stepSize(measure, pair);
        const steps = this.stepMaps.flatMap((map) => map.cells.flat()).map(step).filter(present).map(size);
        const stepShare = shareOf(steps, true, measure.step);
        for (const map of this.stepMaps)
            map.fill({caption: "Difference, " + map.name + ": " + measure.name + " in " + stepUnit(measure) +
                          ", dark is far apart. A cell plays the one and then the other.",
                      value: step, share: (pair) => stepShare(size(pair)), write: (pair) => stepCell(measure, pair)});
        this.showCurves();
    }

    // The cell under the pointer, or `settled` the one with the focus.
    show(cell, settled = false) {
        this.shown = cell;
        if (settled)
            this.settled = cell;
        this.refreshShown();
    }
    leave() {
        if (this.shown !== this.settled)
            this.show(this.settled);
    }

    choose(cell) {
        if (!cell || cell.off)
            return;
        this.settled = this.shown = cell;
        this.hearing.hear(cell);
        this.refreshShown();
    }

    key(event) {
        if (event.altKey || event.ctrlKey || event.metaKey || takesKeys(event.target))
            return;
        const does = {a: () => this.hearing.take("a", this.shown), b: () => this.hearing.take("b", this.shown),
                      x: () => this.hearing.exchange(), r: () => this.repeat.click(),
                      Escape: () => this.hearing.stop()}[event.key];
        if (does) {
            event.preventDefault();
            does();
        }
    }

    panel() {
        const lists = this.cells.flat(2).filter((cell) => cell.tone && cell.tone.measured)
            .map((cell) => cell.tone.measured.harmonics_db || []);
        const range = harmonicRange(lists);
        this.here = new Spectrum("Harmonics 1 to 16 of the cell shown, in dB re full scale", range);
        this.both = new Spectrum("Harmonics 1 to 16 of A and B beside each other, in dB re full scale", range);
        const button = (text, does) => {
            const made = element("button", {type: "button"}, text);
            made.addEventListener("click", does);
            return made;
        };
        this.sentence = element("p", {class: "sentence", id: "sentence", "aria-live": "polite"});
        return element("section", {class: "panel", "aria-label": "Harmonics"},
            element("div", {class: "spectra"}, this.here.box, this.both.box),
            element("div", {class: "panel-foot"},
                element("div", {class: "buttons"}, button("Take as A", () => this.hearing.take("a", this.shown)),
                        button("Take as B", () => this.hearing.take("b", this.shown)),
                        button("A / B", () => this.hearing.exchange())),
                this.sentence));
    }

    refreshShown() {
        const cell = this.shown;
        const strong = (text) => element("b", {}, text);
        const list = (of) => of?.tone?.measured?.harmonics_db;
        if (!cell)
            this.here.show(["Point at a cell."], null);
        else if (cell.second && !cell.off)
            this.here.show([strong("● " + shortName(cell.first)), " and ", strong("■ " + shortName(cell.second))],
                           list(cell.first), list(cell.second));
        else
            this.here.show([strong(shortName(cell))], list(cell));
        this.sentence.textContent = cell && cell.second && !cell.off
            ? cellSentence(cell.first) + " " + cellSentence(cell.second) : cellSentence(cell);
        this.refreshFigures();
    }

    refreshFigures() {
        this.figures.replaceChildren(detailTable(this.shown, this.hearing.a, this.hearing.b));
    }

    refresh() {
        const list = (cell) => cell?.tone?.measured?.harmonics_db;
        const name = (cell, sign, letter) => element("b", {}, sign + " " + letter + ": " + (cell ? shortName(cell) : absent));
        const {a, b, playing} = this.hearing;
        this.both.show([name(a, "●", "A"), " ", name(b, "■", "B")], list(a), list(b));
        for (const map of [...this.maps, ...this.stepMaps])
            map.wear((cell) => this.hearing.letters(cell), (cell) => playing !== null && (cell === playing ||
                (cell === this.settled && [cell.first, cell.second].includes(playing))));
        this.refreshShown();
    }

    figuresSection() {
        this.figures = element("div", {});
        return element("section", {"aria-label": "Figures"}, element("h2", {}, "In figures"), this.figures);
    }

    curvesSection() {
        this.curves = this.sides.map((side) => new Curves({
            label: sideName(side), unit: "", names: side.notes.map((note) => printed(note.written.name)),
            groups: registerGroups(side.notes),
            lines: this.dynamics.map((dynamic) => ({name: dynamic.name, values: side.notes.map(() => null)})),
        }));
        this.curveTitle = element("h2", {}, "");
        return element("section", {"aria-label": "Along the notes"}, this.curveTitle,
            lineLegend(this.dynamics.map((dynamic) => dynamic.name)),
            ...this.curves.flatMap((curve, index) => [element("h3", {}, capital(sideTitle(this.sides[index]))), curve.holder]));
    }

    showCurves() {
        const {measure} = this;
        const scale = measure.key === "brightness" ? 1e-3 : 1;
        const lists = this.cells.map((notes) => this.dynamics.map((_, dynamic) => notes.map((note) => {
            const value = valueOf(measure, note[dynamic].tone);
            return value === null ? null : value * scale;
        })));
        const range = airyRange(lists.flat(2));
        this.curveTitle.textContent = "Along the notes: " + measure.name;
        this.curves.forEach((curve, index) => curve.show(
            measure.name + " along the written notes of " + sideName(this.sides[index]) + ", a line a dynamic",
            measure.unit, lists[index], range));
    }

    wordsSection() {
        const dynamics = this.dynamics.map((dynamic) => dynamic.name);
        const registersOf = (entries) => [...new Set(entries.map((entry) => entry.register))];
        const find = (entries, register, dynamic) =>
            entries.find((entry) => entry.register === register && entry.dynamic === dynamic);
        const differences = this.comparison.differences || [];
        const spoken = this.sides.filter((side) => (side.averages || []).some((average) => (average.words || []).length));
        const tables = spoken.map((side) => wordsTable(capital(sideTitle(side)), registersOf(side.averages || []),
            dynamics, (register, dynamic) => (find(side.averages, register, dynamic)?.words || []).join(", ")));
        for (const index of new Set(differences.map((difference) => difference.side))) {
            const own = differences.filter((difference) => difference.side === index);
            tables.push(wordsTable(sideName(this.sides[index]) + " beside " + sideName(this.sides[own[0].against]),
                registersOf(own), dynamics, (register, dynamic) => {
                    const entry = find(own, register, dynamic);
                    return entry ? inWords(entry) : null;
                }));
        }
        if (!tables.length)
            return "";
        return element("section", {"aria-label": "In words"}, element("h2", {}, "In words, by register"), ...tables);
    }

    tablesSection() {
        const differences = this.comparison.differences || [];
        const steps = [...new Set(differences.map((difference) => difference.side))].map((index) => {
            const own = differences.filter((difference) => difference.side === index);
            return differencesTable(sideName(this.sides[index]) + " less " + sideName(this.sides[own[0].against]), own);
        });
        return element("section", {"aria-label": "By register"}, element("h2", {}, "Averages and differences by register"),
                       ...this.sides.map((side) => averagesTable(side)), ...steps);
    }
}
