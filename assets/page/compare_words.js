// SPDX-License-Identifier: MIT
// Words of the trade and the marks that stand for them in a cell.

const marks = new Map([
    ["not in register", "✕"], ["late", "L"], ["sharp", "▴"], ["flat", "▾"], ["pulls sharp", "▵"], ["pulls flat", "▿"],
    ["dull", "D"], ["bright", "B"], ["thin", "T"], ["weak", "W"], ["strong", "S"], ["breathy", "H"],
]);
const markMeanings = {
    "not in register": "cracks or never settles", "late": "slow to speak",
    "sharp": "over the pitch", "flat": "under the pitch",
    "pulls sharp": "the instrument does; the lip takes it out", "pulls flat": "the instrument does; the lip takes it out",
    "dull": "beside its neighbours", "bright": "beside its neighbours",
    "thin": "not soft, and hardly more than the fundamental", "weak": "beside its neighbours", "strong": "beside its neighbours",
    "breathy": "much air in the sound",
};
const roomForMarks = 3;

// As printed: E♭4 for Eb4, F♯4 for F#4.
const printed = (name) => String(name).replace(/^([A-G])(#|b)+/, (accidentals, letter) =>
    letter + accidentals.slice(1).replace(/#/g, "♯").replace(/b/g, "♭"));

function marksOf(words) {
    const all = (words || []).map((word) => marks.get(word) || "·");
    return all.length > roomForMarks ? all.slice(0, roomForMarks - 1).join("") + "…" : all.join("");
}

// B♭ for B-flat, in what names an instrument.
const flatSign = (name) => name.replace(/\b([A-G])-flat\b/g, "$1♭");
const sideName = (side) => side.instrument ? flatSign(side.name) : side.name;

// What an entry of differences says.
const inWords = (entry) => entry.sentence || listed(entry.words || []) || "much the same";

const fingersOf = (note) => note.fingering === null || note.fingering === undefined ? absent
    : note.fingering === "" ? "none" : note.fingering;

const listed = (parts) => parts.length < 2 ? parts.join("")
    : parts.slice(0, -1).join(", ") + " and " + parts[parts.length - 1];
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
const sideTitle = (side) => side.title ? side.title + (side.player ? ", " + side.player + " player" : "") : sideName(side);

// The marks that occur, each with its word.
function markLegend(wordLists) {
    const used = new Set(wordLists.flat());
    const items = [...marks].filter(([word]) => used.has(word)).map(([word, mark]) =>
        element("li", {}, element("b", {class: "mark"}, mark), " " + word + ": " + markMeanings[word]));
    return items.length ? element("ul", {class: "legend", "aria-label": "Marks"}, ...items) : null;
}

const caution = "The sound starts low. Turn it up slowly, above all in headphones: levels are not evened out, and a " +
    "loud high note follows a soft one without warning.";

function howToRead(keys, text) {
    const open = window.innerWidth > 700 ? "" : null; // on a small screen it would push all else away
    return element("details", {class: "how", open}, element("summary", {}, "How to read and hear this"),
        element("div", {class: "how-columns"},
            element("div", {}, element("p", {}, text), element("p", {}, caution)),
            element("ul", {class: "keys", "aria-label": "Keys"}, ...keys.map(([key, does]) =>
                element("li", {}, element("kbd", {}, key), " " + does)))));
}
