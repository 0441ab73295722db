// SPDX-License-Identifier: MIT
// Averages and differences by register and dynamic: first in words, then in figures.

const bandText = (values) => (values || []).map((value) => present(value) ? signedTenths(value) : absent).join(" / ");
const number = (value, write) => present(value) ? write(value) : absent;

const averageHeads = ["register, dynamic", "notes", "level dB", "loudness LKFS", "brightness kHz", "pitch cents",
    "speaks ms", "odd over even dB", "even against neighbours dB (under 1200 / 1200–2000 / 2000–4000 Hz)",
    "fundamental’s share dB", "noise dB"];

function averagesTable(side) {
    const rows = (side.averages || []).map((average) => [
        average.register + ", " + average.dynamic, String(average.notes),
        number(average.level_db, tenths), number(average.loudness_lkfs, tenths), number(average.centroid_hz, kilohertz),
        number(average.cents, signedTenths), number(average.speaking_ms, whole),
        number(average.odd_over_even_db, signedTenths), bandText(average.even_over_neighbours_db),
        number(average.fundamental_share_db, tenths), number(average.noise_db, tenths),
    ]);
    return plainTable("Averages of " + sideName(side), averageHeads, rows);
}

const differenceHeads = ["register, dynamic", "notes", "level dB", "loudness LU", "brightness", "pitch cents",
    "speaks ms", "odd over even dB", "fundamental’s share dB", "in words"];

function differenceFigures(difference) {
    return [
        String(difference.notes ?? absent), number(difference.level_db, signedTenths),
        number(difference.loudness_lu, signedTenths),
        present(difference.centroid_ratio) ? percent(difference.centroid_ratio) + " %" : absent,
        number(difference.cents, signedTenths), number(difference.speaking_ms, signed),
        number(difference.odd_over_even_db, signedTenths), number(difference.fundamental_share_db, signedTenths),
        inWords(difference),
    ];
}

function differencesTable(caption, differences) {
    return plainTable(caption, differenceHeads, differences.map((difference) =>
        [difference.register + ", " + difference.dynamic, ...differenceFigures(difference)]));
}

// Registers down, dynamics across, a few words in each.
function wordsTable(caption, registers, dynamics, wordsAt) {
    return plainTable(caption, ["register", ...dynamics], registers.map((register) =>
        [register, ...dynamics.map((dynamic) => wordsAt(register, dynamic) || absent)]));
}
