// SPDX-License-Identifier: MIT
// Harmonics 1 to 16 as upright stems, by uPlot.

const ink = "#1a2a24";
const gridInk = "#dfe3dc";
const chartFont = "12px system-ui, 'DejaVu Sans', sans-serif";
const harmonicNumbers = Array.from({length: 16}, (_, index) => index + 1);
const pixels = () => window.devicePixelRatio || 1;

// Stems from the floor with a head, `aside` of a harmonic to the right of its place.
function stems(aside, square) {
    return (plot, series, first, last) => {
        const stroke = new Path2D();
        const fill = new Path2D();
        const radius = 3.6 * pixels();
        const floor = plot.valToPos(plot.scales.y.min, "y", true);
        for (let index = first; index <= last; ++index) {
            const value = plot.data[series][index];
            if (!present(value))
                continue;
            const x = plot.valToPos(plot.data[0][index] + aside, "x", true);
            const y = Math.min(floor, plot.valToPos(value, "y", true));
            stroke.moveTo(x, floor);
            stroke.lineTo(x, y);
            if (square) {
                fill.rect(x - radius, y - radius, 2 * radius, 2 * radius);
            } else {
                fill.moveTo(x + radius, y);
                fill.arc(x, y, radius, 0, 2 * Math.PI);
            }
        }
        return {stroke, fill};
    };
}

// The charts keep one height scale, so that one cell can be held against another: from the strongest harmonic
// of all down to the weakest, 80 dB at most; what is weaker stands as a head on the floor.
function harmonicRange(lists) {
    const all = lists.flat().filter(present);
    const top = all.length ? Math.ceil((all.reduce((one, other) => Math.max(one, other)) + 2) / 10) * 10 : 0;
    const low = all.length ? Math.floor(all.reduce((one, other) => Math.min(one, other)) / 10) * 10 : -80;
    return [Math.max(low, top - 80), top];
}

class Spectrum {
    constructor(label, range) {
        this.heading = element("p", {class: "chart-head"});
        this.holder = element("div", {class: "chart", role: "img", "aria-label": label});
        this.box = element("div", {class: "spectrum"}, this.heading, this.holder);
        this.range = range;
        this.pair = [null, null];
        this.plot = new uPlot(this.options(), this.data(), this.holder);
        fitWidth(this.holder, this.plot);
    }

    options() {
        const series = (aside, square, dash) => ({
            paths: stems(aside, square), stroke: ink, fill: ink, width: 1.8, dash,
            points: {show: false},
        });
        return {
            width: 400, height: 176, legend: {show: false}, cursor: {show: false}, padding: [8, 10, 0, 0],
            scales: {x: {time: false, range: [0.4, 16.6]}, y: {range: this.range}},
            axes: [
                {font: chartFont, stroke: ink, grid: {show: false}, ticks: {show: false}, size: 22, gap: 5,
                 label: "harmonic", labelFont: chartFont, labelSize: 16, labelGap: 0,
                 splits: harmonicNumbers, values: (_, splits) => splits.map(String)},
                {font: chartFont, stroke: ink, grid: {stroke: gridInk, width: 1}, ticks: {show: false}, size: 52,
                 label: "dB re full scale", labelFont: chartFont, labelSize: 16, labelGap: 0, space: 26,
                 values: (_, splits) => splits.map(whole)},
            ],
            series: [{}, series(0, false), series(0, true, [4, 3])],
        };
    }

    data() {
        return [harmonicNumbers, ...this.pair.map((list) => harmonicNumbers.map((_, index) =>
            list && present(list[index]) ? list[index] : null))];
    }

    // One list of levels, or two side by side.
    show(heading, first, second) {
        this.heading.replaceChildren(...heading);
        this.pair = [first || null, second || null];
        const aside = second ? 0.16 : 0;
        this.plot.series[1].paths = stems(-aside, false);
        this.plot.series[2].paths = stems(aside, true);
        this.plot.setData(this.data());
    }
}

function fitWidth(holder, plot) {
    new ResizeObserver(() => {
        const width = Math.floor(holder.clientWidth);
        if (width > 0 && width !== plot.width)
            plot.setSize({width, height: plot.height});
    }).observe(holder);
}
