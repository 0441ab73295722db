// SPDX-License-Identifier: MIT
// Reads what was measured and builds the page for its kind.

const comparison = JSON.parse(document.getElementById("comparison").textContent);

function conditions() {
    const parts = [];
    if (present(comparison.a4_hz))
        parts.push("A4 = " + tidy(comparison.a4_hz) + " Hz");
    if (present(comparison.temperature_c) && comparison.kind !== "recordings")
        parts.push("air at " + tidy(comparison.temperature_c) + " °C");
    const source = comparison.kind === "recordings" ? "Measured in the recordings."
        : "Played by a physical model of the instrument, and measured in that sound; none of it is a recording.";
    return (parts.length ? capital(parts.join(", ")) + ". " : "") + source;
}

const page = comparison.kind === "tones" ? new TonesPage(comparison) : new LinesPage(comparison);
document.querySelector("#head h1").textContent = listed(comparison.sides.map(sideName));
document.getElementById("about").textContent = page.about() + " " + conditions();
page.build(document.getElementById("main"));
