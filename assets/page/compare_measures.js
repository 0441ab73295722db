// SPDX-License-Identifier: MIT
// What is measured of a tone, and how its numbers are written.

const absent = "–";
const present = (value) => typeof value === "number" && Number.isFinite(value);
const minus = (text) => text.replace("-", "−");
const plain = (value, digits) => minus(Number(value.toFixed(digits)).toFixed(digits).replace(/^-(0\.?0*)$/, "$1"));
const whole = (value) => plain(value, 0);
const tenths = (value) => plain(value, 1);
const withSign = (text) => (/^[−0]\.?0*$|^−|^0\.?0*$/.test(text) ? text : "+" + text);
const signed = (value) => withSign(whole(value));
const signedTenths = (value) => withSign(tenths(value));
// Two figures of a frequency in kHz.
const kilohertz = (hertz) => plain(hertz / 1000, hertz < 995 ? 2 : 1);
const narrowKilohertz = (hertz) => kilohertz(hertz).replace(/^0\./, ".");
const percent = (ratio) => signed((ratio - 1) * 100);

const evenBands = ["under 1200 Hz", "1200–2000 Hz", "2000–4000 Hz"];
const bandMeasures = evenBands.map((band, index) => ({
    key: "even" + index, name: "even beside odd, " + band, unit: "dB", step: 6,
    explains: "how far the even harmonics " + band + " lie over the mean of the odd ones beside them; dark is more",
    of: (tone) => tone.measured.even_over_neighbours_db?.[index], cell: whole, text: signedTenths,
}));

// of: a tone's value; cell: as short as a map's cell; text: for sentences and tables. `centred`: the shade is
// the distance from 0. `ratio`: differences are ratios. `step`: the least difference that a map draws dark, in stepUnit.
const measures = [
    {key: "level", name: "level", unit: "dB", step: 3, explains: "dB re full scale, a full-scale sine being 0; dark is loud",
     of: (tone) => tone.measured.level_db, cell: whole, text: tenths},
    {key: "loudness", name: "loudness", unit: "LKFS", step: 3,
     explains: "level as the ear weighs it (K-weighting of ITU-R BS.1770); dark is loud",
     of: (tone) => tone.measured.loudness_lkfs, cell: whole, text: tenths},
    {key: "brightness", name: "brightness", unit: "kHz", step: 20, ratio: true,
     explains: "centroid of the harmonics in kHz: where the weight of the spectrum lies; dark is bright",
     of: (tone) => tone.measured.centroid_hz, cell: narrowKilohertz, text: kilohertz},
    {key: "pitch", name: "pitch", unit: "cents", step: 10, centred: true,
     explains: "cents from equal temperament, as it sounds with the player's lip; dark is far off",
     of: (tone) => tone.measured.cents, cell: signed, text: signedTenths},
    {key: "unlipped", name: "pitch before the lip", unit: "cents", step: 10, centred: true,
     explains: "where the instrument pulls before the player's lip takes it out, in cents; dark is far off",
     of: (tone) => tone.before_lip_cents, cell: signed, text: signedTenths},
    {key: "speaking", name: "speaking time", unit: "ms", step: 20, explains: "milliseconds until the note stands; dark is late",
     of: (tone) => tone.measured.speaking_ms, cell: whole, text: whole},
    {key: "odd", name: "odd over even harmonics", unit: "dB", step: 6,
     explains: "harmonics 1, 3, 5 over 2 and 4: much is hollow; dark is hollow",
     of: (tone) => tone.measured.odd_over_even_db, cell: whole, text: signedTenths},
    ...bandMeasures,
    {key: "fundamental", name: "fundamental’s share", unit: "dB", step: 3,
     explains: "energy of harmonic 1 over that of all: near 0 it is nearly all there is; dark is more",
     of: (tone) => tone.measured.fundamental_share_db, cell: whole, text: tenths},
    {key: "noise", name: "noise", unit: "dB", step: 6,
     explains: "energy between the harmonics over theirs: breath and hiss; dark is more",
     of: (tone) => tone.measured.noise_db, cell: whole, text: tenths},
];
const measureOf = (key) => measures.find((measure) => measure.key === key);

function valueOf(measure, tone) {
    const value = tone && tone.measured ? measure.of(tone) : null;
    return present(value) ? value : null;
}

// From one value to another: a difference, or a ratio where that is what is heard.
function stepOf(measure, from, to) {
    if (from === null || to === null || (measure.ratio && from <= 0))
        return null;
    return measure.ratio ? to / from : to - from;
}
const stepSize = (measure, step) => measure.ratio ? (step - 1) * 100 : step;
const stepUnit = (measure) => measure.ratio ? "%" : measure.unit === "LKFS" ? "LU" : measure.unit;
const stepCell = (measure, step) => measure.ratio ? percent(step)
    : ["dB", "LKFS"].includes(measure.unit) && Math.abs(step) < 9.95 ? signedTenths(step) : signed(step);

function withUnit(measure, value) {
    return value === null ? absent : measure.text(value) + " " + measure.unit;
}
