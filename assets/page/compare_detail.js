// SPDX-License-Identifier: MIT
// What is known of a cell, as a sentence and as figures beside those of A and B.

function cellName(cell) {
    const note = cell.note;
    const sounds = note.sounding.name !== note.written.name ? " (sounds " + printed(note.sounding.name) + ")" : "";
    return printed(note.written.name) + sounds + ", " + cell.dynamic + ", " + sideName(cell.side);
}
const shortName = (cell) => printed(cell.note.written.name) + " " + cell.dynamic + ", " + sideName(cell.side);

function cellSentence(cell) {
    if (!cell)
        return "";
    if (cell.off || !cell.tone)
        return cellName(cell) + ": not on this instrument.";
    const tone = cell.tone;
    const says = (key) => withUnit(measureOf(key), valueOf(measureOf(key), tone));
    const even = (tone.measured?.even_over_neighbours_db || []).map((value) => number(value, signedTenths)).join(", ");
    const words = (tone.words || []).length ? " " + capital(listed(tone.words)) + "." : "";
    return cellName(cell) + ", fingers " + fingersOf(cell.note) + "." + words +
        " Level " + says("level") + ", brightness " + says("brightness") + ", pitch " + says("pitch") +
        ", speaks in " + says("speaking") + ", odd over even " + says("odd") + ", even against neighbours " + even +
        " dB, fundamental’s share " + says("fundamental") + ", noise " + says("noise") + ".";
}

// Columns: the cell shown, A, B, and B less A once both are taken. A cell of a difference shows its two.
function detailTable(shown, a, b) {
    const pair = shown && shown.second;
    const columns = (pair ? [["first", shown.first], ["other", shown.second]] : [["shown", shown], ["A", a], ["B", b]])
        .filter(([, cell]) => cell && cell.tone);
    if (!columns.length)
        return element("p", {}, "Point at a cell of a map, or walk there with the arrow keys.");
    const [from, to] = pair ? [shown.first, shown.second] : [a, b];
    const both = from && to && from.tone && to.tone;
    const last = (text) => both ? [text] : [];
    const heads = ["", ...columns.map(([name, cell]) => name + ": " + shortName(cell)),
                   ...last(pair ? "other less first" : "B less A")];
    const rows = [
        ["fingers", ...columns.map(([, cell]) => fingersOf(cell.note)), ...last("")],
        ...measures.map((measure) => [measure.name,
            ...columns.map(([, cell]) => withUnit(measure, valueOf(measure, cell.tone))),
            ...last(both ? stepText(measure, valueOf(measure, from.tone), valueOf(measure, to.tone)) : "")]),
        ["words", ...columns.map(([, cell]) => (cell.tone.words || []).join(", ") || absent), ...last("")],
    ];
    return plainTable("In figures: " + columns.map(([name]) => name).join(", "), heads, rows);
}

function stepText(measure, from, to) {
    const step = stepOf(measure, from, to);
    return step === null ? absent
        : withSign(measure.ratio ? whole(stepSize(measure, step)) : tenths(step)) + " " + stepUnit(measure);
}
