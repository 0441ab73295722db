// SPDX-License-Identifier: MIT
// Lightness only, from white down to a grey on which dark figures keep a contrast of 5:1.

const darkest = [138, 150, 144];

function shade(share) {
    const mixed = darkest.map((dark) => Math.round(255 + (dark - 255) * Math.min(1, Math.max(0, share))));
    return "rgb(" + mixed.join(",") + ")";
}

// Where a value lies between the least and the greatest, 0 to 1; from 0 where `centred`. `least` is how much
// the darkest stands for at least, so that trifles stay pale.
function shareOf(values, centred, least) {
    const known = values.filter((value) => value !== null).map((value) => centred ? Math.abs(value) : value);
    const low = centred ? 0 : Math.min(...known);
    const high = Math.max(low + least, ...known);
    return (value) => ((centred ? Math.abs(value) : value) - low) / (high - low);
}
