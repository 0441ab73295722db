// SPDX-License-Identifier: MIT
// The line's notes as a table, a page of rows at a time, so that long lines stay quick.

const rowsAPage = 40;
// "What changes most" is a third of the notes, and a page of them at most.
const mostChanged = (count) => Math.min(rowsAPage, Math.ceil(count / 3));

// How far apart the sides are at a row: each difference in steps of about what an ear begins to notice
// (2 dB, a tenth in brightness, 10 cents, 20 ms), summed.
function weightOf(difference) {
    const steps = [
        [difference.loudness_lu ?? difference.level_db, 2],
        [present(difference.centroid_ratio) ? Math.log(difference.centroid_ratio) : null, Math.log(1.1)],
        [difference.cents, 10], [difference.speaking_ms, 20],
    ];
    return steps.reduce((sum, [value, step]) => sum + (present(value) ? Math.abs(value) / step : 0), 0);
}

class RowTable {
    // page: {playFrom(row, side)}
    constructor(comparison, page) {
        this.comparison = comparison;
        this.page = page;
        this.sides = comparison.sides;
        this.differences = new Map(); // row → side → difference
        for (const difference of comparison.differences || []) {
            if (!this.differences.has(difference.row))
                this.differences.set(difference.row, new Map());
            this.differences.get(difference.row).set(difference.side, difference);
        }
        this.all = comparison.rows.map((_, row) => row);
        this.most = this.mostOf();
        this.chosen = this.most.length && this.all.length > rowsAPage ? this.most : this.all;
        this.barred = comparison.rows.some((row) => row.bar !== null && row.bar !== undefined);
        this.first = 0;
        this.current = -1;
        this.body = element("tbody", {});
        this.box = this.build();
        this.draw();
    }

    mostOf() {
        const weights = this.all.map((row) =>
            Math.max(0, ...[...(this.differences.get(row)?.values() || [])].map(weightOf)));
        return this.all.filter((row) => weights[row] > 0).sort((one, other) => weights[other] - weights[one])
            .slice(0, mostChanged(this.all.length)).sort((one, other) => one - other);
    }

    build() {
        this.pager = pager(() => this.turn(-1), () => this.turn(1));
        const choice = radioRow("Notes", "rows", [["most", "the " + this.most.length + " that change most"],
            ["all", "all " + this.all.length]], this.chosen === this.all ? "all" : "most", (value) => {
            this.chosen = value === "most" ? this.most : this.all;
            this.first = 0;
            this.draw();
        });
        const table = element("table", {class: "figures rows"}, element("caption", {}, "Note by note. A note is a " +
            "button: it plays from there on that side."), element("thead", {}, ...this.heads()), this.body);
        return element("div", {}, element("div", {class: "row-choice"}, this.most.length ? choice : null, this.pager.box), scrollBox("Note by note", table));
    }

    heads() {
        const own = ["note", "level dB", "pitch cents", "bright\u00adness kHz"];
        const columns = (index) => index === 0 ? own : [...own, "beside " + sideName(this.sides[0]) +
            ": level dB, pitch cents, brightness %"];
        const place = this.barred ? ["bar", "beat"] : ["row"];
        return [
            element("tr", {}, ...place.map((head) => element("th", {scope: "col", rowspan: "2"}, head)),
                ...this.sides.map((one, index) => element("th", {scope: "colgroup", colspan: columns(index).length,
                                                                 class: "side"}, sideName(one)))),
            element("tr", {}, ...this.sides.flatMap((_, index) => columns(index).map((head, column) =>
                element("th", {scope: "col", class: column === 0 ? "side" : null}, head)))),
        ];
    }

    rowOf(row) {
        const {bar, beat} = this.comparison.rows[row];
        const cells = this.barred
            ? [element("th", {scope: "row"}, bar ?? ""), element("td", {}, present(beat) ? tidy(beat) : "")]
            : [element("th", {scope: "row"}, String(row + 1))];
        this.sides.forEach((side, index) => {
            cells.push(...this.sideCells(side, index, row));
            if (index)
                cells.push(this.besideFirst(this.differences.get(row)?.get(index)));
        });
        const made = element("tr", {"data-row": row}, ...cells);
        made.classList.toggle("now", row === this.current);
        return made;
    }

    sideCells(side, index, row) {
        const note = side.notes[this.comparison.rows[row].notes[index]];
        if (!note)
            return [element("td", {class: "side none", colspan: "4"}, "no such note")];
        const measured = note.measured || {};
        const play = element("button", {type: "button", class: "note"}, noteName(note));
        play.setAttribute("aria-label", "Play from " + noteName(note) + " on " + sideName(side));
        play.addEventListener("click", () => this.page.playFrom(row, index));
        const words = [...(note.silent ? ["silent"] : []), ...(note.words || [])].join(", ");
        return [
            element("td", {class: "side"}, play, words ? element("div", {class: "words"}, words) : null),
            element("td", {}, number(measured.level_db, tenths)), element("td", {}, number(measured.cents, signedTenths)),
            element("td", {}, number(measured.centroid_hz, kilohertz)),
        ];
    }

    besideFirst(difference) {
        if (!difference)
            return element("td", {class: "text"}, absent);
        const steps = [
            present(difference.level_db) ? signedTenths(difference.level_db) : null,
            present(difference.cents) ? signed(difference.cents) : null,
            present(difference.centroid_ratio) ? percent(difference.centroid_ratio) : null,
        ];
        if (!steps.some(Boolean))
            return element("td", {class: "text"}, absent);
        return element("td", {class: "text"}, inWords(difference), element("div", {class: "steps"}, steps.map((step) => step ?? absent).join(", ")));
    }

    draw() {
        const last = Math.min(this.first + rowsAPage, this.chosen.length);
        this.body.replaceChildren(...this.chosen.slice(this.first, last).map((row) => this.rowOf(row)));
        this.pager.tell(this.first / rowsAPage, Math.ceil(this.chosen.length / rowsAPage),
                        this.chosen.length ? (this.first + 1) + "–" + last + " of " + this.chosen.length : "none");
    }

    turn(pages) {
        this.first = Math.max(0, this.first + pages * rowsAPage);
        this.draw();
    }

    // The row that sounds is marked; its page is turned to when the sound arrives there.
    follow(row) {
        if (row === this.current)
            return;
        this.current = row;
        const at = this.chosen.indexOf(row);
        if (at >= 0 && (at < this.first || at >= this.first + rowsAPage)) {
            this.first = Math.floor(at / rowsAPage) * rowsAPage;
            this.draw();
        }
        for (const made of this.body.children)
            made.classList.toggle("now", Number(made.dataset.row) === row);
    }
}

const tidy = (beat) => String(Number(beat.toFixed(3)));

function noteName(note) {
    const pitch = note.written || note.sounding;
    return pitch ? printed(pitch.name) + (note.dynamic ? " " + note.dynamic : "") : "note";
}
