// SPDX-License-Identifier: MIT
// Measures along the notes, by uPlot: a line each, told apart by dash and head.

const dashes = [[], [8, 4], [2, 3], [10, 3, 2, 3]];
const heads = ["round", "square", "point", "cross"];
const glyphs = ["━●━", "╍□╍", "┄▲┄", "╌✚╌"];

function headPaths(shape) {
    return (plot, series, first, last) => {
        const fill = new Path2D();
        const stroke = new Path2D();
        const r = 3.2 * pixels();
        for (let index = first; index <= last; ++index) {
            const value = plot.data[series][index];
            if (!present(value))
                continue;
            const x = plot.valToPos(plot.data[0][index], "x", true);
            const y = plot.valToPos(value, "y", true);
            if (shape === "round") {
                fill.moveTo(x + r, y);
                fill.arc(x, y, r, 0, 2 * Math.PI);
            } else if (shape === "square") {
                stroke.rect(x - r, y - r, 2 * r, 2 * r);
            } else if (shape === "point") {
                fill.moveTo(x, y - r * 1.2);
                fill.lineTo(x + r * 1.1, y + r * 0.8);
                fill.lineTo(x - r * 1.1, y + r * 0.8);
            } else {
                stroke.moveTo(x - r, y);
                stroke.lineTo(x + r, y);
                stroke.moveTo(x, y - r);
                stroke.lineTo(x, y + r);
            }
        }
        return {fill, stroke};
    };
}

// Bands behind the lines, named above them.
function drawBands(plot, groups) {
    const {ctx, bbox} = plot;
    ctx.save();
    ctx.font = 12 * pixels() + "px system-ui, 'DejaVu Sans', sans-serif";
    ctx.textAlign = "center";
    ctx.textBaseline = "alphabetic";
    groups.forEach((group, number) => {
        const left = Math.max(bbox.left, plot.valToPos(group.first - 0.5, "x", true));
        const right = Math.min(bbox.left + bbox.width, plot.valToPos(group.first + group.count - 0.5, "x", true));
        if (right <= left)
            return;
        ctx.fillStyle = number % 2 ? "#ffffff" : "#f1f3ee";
        ctx.fillRect(left, bbox.top, right - left, bbox.height);
        ctx.fillStyle = ink;
        if (group.name && ctx.measureText(group.name).width < right - left)
            ctx.fillText(group.name, (left + right) / 2, bbox.top - 5 * pixels());
    });
    ctx.restore();
}

const mostInView = 80; // notes of a long line that are drawn at a time

// lines: [{name, values}] over the columns `names`; groups: bands of columns; bars: their bar numbers, if any.
class Curves {
    constructor({label, unit, names, groups, lines, bars = null, height = 200}) {
        this.holder = element("div", {class: "chart", role: "img", "aria-label": label});
        this.groups = groups;
        this.range = [0, 1];
        this.count = names.length;
        this.first = 0;
        const series = lines.map((line, number) => ({
            label: line.name, stroke: ink, width: 1.4, dash: dashes[number % dashes.length],
            points: {show: true, paths: headPaths(heads[number % heads.length]), fill: ink, stroke: ink, width: 1.4},
        }));
        this.data = [names.map((_, index) => index), ...lines.map((line) => line.values)];
        this.plot = new uPlot({
            width: 400, height, legend: {show: false}, cursor: {show: false}, padding: [22, 12, 0, 0],
            scales: {x: {time: false, range: () => this.view()}, y: {range: () => this.range}},
            hooks: {drawClear: [(plot) => drawBands(plot, this.groups)]},
            axes: [
                {font: chartFont, stroke: ink, grid: {show: false}, ticks: {show: false}, size: bars ? 40 : 24, gap: 4,
                 space: 27, incrs: [1, 2, 3, 4, 6, 12, 24, 48], values: (_, splits) => columnNames(splits, names, bars)},
                {font: chartFont, stroke: ink, grid: {stroke: gridInk, width: 1}, ticks: {show: false}, size: 58,
                 label: unit, labelFont: chartFont, labelSize: 16, labelGap: 0, space: 26,
                 values: (_, splits) => splits.map((split) => minus(String(Number(split.toFixed(3)))))},
            ],
            series: [{}, ...series],
        }, this.data, this.holder);
        fitWidth(this.holder, this.plot);
    }

    view() {
        const last = Math.min(this.first + mostInView, this.count);
        return [this.first - 0.6, Math.max(this.first + 0.6, last - 0.4)];
    }

    // Draws the stretch of notes from `first`.
    turnTo(first) {
        this.first = first;
        this.plot.setData(this.data);
    }

    show(label, unit, lists, range) {
        this.range = range;
        this.holder.setAttribute("aria-label", label);
        this.plot.axes[1].label = unit;
        this.data = [this.data[0], ...lists];
        this.plot.setData(this.data);
    }
}

// Under each note its name, and its bar where that is another than at the name before.
function columnNames(splits, names, bars) {
    let before = null;
    return splits.map((split) => {
        const bar = bars ? bars[split] : null;
        const line = bar !== null && bar !== undefined && bar !== before ? "\n" + bar : "";
        before = bar;
        return (names[split] ?? "") + line;
    });
}

// A little air above and below what is there.
function airyRange(values) {
    const known = values.filter(present);
    if (!known.length)
        return [0, 1];
    const low = Math.min(...known);
    const high = Math.max(...known);
    const air = Math.max((high - low) * 0.08, 0.05);
    return [low - air, high + air];
}

function lineLegend(names) {
    return element("p", {class: "line-legend"}, ...names.map((name, number) =>
        element("span", {}, element("span", {class: "glyph"}, glyphs[number % glyphs.length]), " " + name)));
}
