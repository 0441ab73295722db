// SPDX-License-Identifier: MIT
// A place in the music, the same for all sides: the row of the note and how much of it is over. Each side has
// its own time for it, straight between the starts of its notes.

class MusicTime {
    constructor(side, rows, sideIndex) {
        this.places = [];
        this.times = [];
        const add = (place, time) => {
            const last = this.times.length - 1;
            if (last < 0 || (place > this.places[last] && time > this.times[last])) {
                this.places.push(place);
                this.times.push(time);
            }
        };
        let end = 0;
        rows.forEach((row, index) => {
            const note = side.notes[row.notes[sideIndex]];
            if (!note)
                return;
            if (!this.places.length && note.start_s > 0)
                add(index - 1, 0);
            add(index, note.start_s);
            end = note.end_s;
        });
        add(rows.length, Math.max(end, side.duration_s || 0));
        this.rows = rows.length;
    }

    static between(from, to, value) {
        if (from.length < 2)
            return to.length ? to[0] : 0;
        let low = 0;
        let high = from.length - 1;
        while (high - low > 1) {
            const middle = (low + high) >> 1;
            if (from[middle] <= value)
                low = middle;
            else
                high = middle;
        }
        const share = (value - from[low]) / (from[high] - from[low]);
        return to[low] + Math.min(1, Math.max(0, share)) * (to[high] - to[low]);
    }

    time(place) {
        return MusicTime.between(this.places, this.times, place);
    }
    place(time) {
        return MusicTime.between(this.times, this.places, time);
    }
}
