// SPDX-License-Identifier: MIT
// One map: written notes across by register, dynamics down, a number and a shade in each cell.

// Neighbouring notes of one register belong together.
function registerGroups(notes) {
    const groups = [];
    notes.forEach((note, index) => {
        const name = note.register || "";
        if (groups.length && groups[groups.length - 1].name === name)
            ++groups[groups.length - 1].count;
        else
            groups.push({name, first: index, count: 1});
    });
    return groups;
}

class NoteMap {
    // `side` gives the columns. cellAt(note, dynamic): what stands there, or null. describe(cell): its
    // name for those who cannot see it. page: {show, leave, choose, take}, told what happens here.
    constructor({name, side, dynamics, sounding, cellAt, describe, page}) {
        Object.assign(this, {name, side, dynamics, describe, page});
        this.cells = dynamics.map((_, dynamic) => side.notes.map((_, note) => cellAt(note, dynamic)));
        this.caption = element("span", {});
        this.table = element("table", {class: "map", role: "grid"}, element("caption", {}, this.caption), ...this.columns(sounding));
        this.body = element("tbody", {});
        this.table.append(this.body);
        this.places = []; // by row as it stands: the loudest on top
        for (let dynamic = dynamics.length - 1; dynamic >= 0; --dynamic)
            this.addRow(dynamic);
        this.at = {row: 0, column: Math.max(0, side.notes.findIndex((note) => note.on_instrument))};
        this.places[0][this.at.column].tabIndex = 0;
        this.listen();
        this.box = element("div", {class: "scroll"}, this.table);
    }

    columns(sounding) {
        const groups = registerGroups(this.side.notes);
        const spans = groups.map((group) => element("colgroup", {span: group.count}));
        const bands = element("tr", {class: "bands"}, element("td", {}), ...groups.map((group) =>
            element("th", {scope: "colgroup", colspan: group.count}, group.name || element("span", {}, "off it"))));
        const heads = (of) => this.side.notes.map((note, column) =>
            element("th", {scope: "col", class: this.startsBand(column)}, printed(note[of].name)));
        const rows = [bands, element("tr", {class: "notes"}, element("th", {scope: "col"}, "written"),
                                     ...heads("written"))];
        if (sounding)
            rows.push(element("tr", {class: "notes sounding"}, element("th", {scope: "col"}, "sounds"),
                              ...heads("sounding")));
        return [element("colgroup", {}, element("col", {class: "dynamic"})), ...spans,
                element("thead", {}, ...rows)];
    }

    startsBand(column) {
        const notes = this.side.notes;
        return column > 0 && notes[column].register !== notes[column - 1].register ? "band" : null;
    }

    addRow(dynamic) {
        const row = this.places.length;
        const places = this.cells[dynamic].map((cell, column) => {
            const place = element("td", {tabindex: "-1", class: this.startsBand(column)},
                                  element("span", {class: "value"}),
                                  element("span", {class: "mark"}, cell ? marksOf(cell.words) : ""));
            if (!cell || cell.off)
                place.classList.add("off");
            if (cell && cell.broken)
                place.classList.add("broken");
            place.canebrake = {row, column, cell};
            return place;
        });
        this.places.push(places);
        this.body.append(element("tr", {}, element("th", {scope: "row", class: "dynamic"},
                                                   this.dynamics[dynamic].name), ...places));
    }

    // value(cell): number or null; write(value): as short as the cell.
    fill({caption, value, write, share}) {
        this.caption.textContent = caption;
        for (const place of this.places.flat()) {
            const cell = place.canebrake.cell;
            const number = cell && !cell.off ? value(cell) : null;
            place.firstChild.textContent = number === null ? absent : write(number);
            place.style.backgroundColor = number === null ? "" : shade(share(number));
            place.setAttribute("aria-label", this.describe(cell, place.canebrake.column, number));
        }
    }

    current() {
        return this.places[this.at.row][this.at.column].canebrake.cell;
    }

    placeOf(target) {
        const place = target instanceof Element ? target.closest("td") : null;
        return place && place.canebrake ? place : null;
    }

    listen() {
        this.body.addEventListener("pointerover", (event) => {
            const place = this.placeOf(event.target);
            if (place)
                this.page.show(place.canebrake.cell);
        });
        this.body.addEventListener("pointerleave", () => this.page.leave());
        this.body.addEventListener("focusin", (event) => {
            const place = this.placeOf(event.target);
            if (place)
                this.arrive(place);
        });
        this.body.addEventListener("click", (event) => {
            const place = this.placeOf(event.target);
            if (!place)
                return;
            place.focus({preventScroll: true});
            this.page.choose(place.canebrake.cell);
        });
        this.body.addEventListener("keydown", (event) => this.key(event));
    }

    arrive(place) {
        this.places[this.at.row][this.at.column].tabIndex = -1;
        this.at = {row: place.canebrake.row, column: place.canebrake.column};
        place.tabIndex = 0;
        this.page.show(place.canebrake.cell, true);
    }

    key(event) {
        const place = this.placeOf(event.target);
        if (!place || event.altKey || event.ctrlKey || event.metaKey)
            return;
        let {row, column} = this.at;
        const last = this.side.notes.length - 1;
        switch (event.key) {
        case "ArrowLeft": --column; break;
        case "ArrowRight": ++column; break;
        case "ArrowUp": --row; break;
        case "ArrowDown": ++row; break;
        case "Home": column = 0; break;
        case "End": column = last; break;
        case "Enter":
        case " ":
            event.preventDefault();
            this.page.choose(place.canebrake.cell);
            return;
        default:
            return;
        }
        event.preventDefault();
        row = Math.min(Math.max(row, 0), this.places.length - 1);
        column = Math.min(Math.max(column, 0), last);
        this.places[row][column].focus();
    }

    // mark(cell): the letters a cell wears, "A", "B" or "".
    wear(taken, sounding) {
        for (const place of this.places.flat()) {
            const cell = place.canebrake.cell;
            const letters = cell ? taken(cell) : "";
            if (letters)
                place.dataset.taken = letters;
            else
                delete place.dataset.taken;
            place.classList.toggle("sounds", Boolean(cell && sounding(cell)));
        }
    }
}
