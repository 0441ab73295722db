// SPDX-License-Identifier: MIT
// Which cells are heard: one, two in turn, or A and B from one to the other at the same place in the note.

class Hearing {
    // changed(): told when what sounds, or what is A or B, has changed.
    constructor(sound, changed) {
        this.sound = sound;
        this.changed = changed;
        this.a = this.b = this.playing = this.last = null;
        this.next = []; // cells still to be played one after the other
        this.repeats = false;
        sound.onEnd = () => this.ended();
    }

    // A cell, or the two of a difference in turn.
    hear(cell) {
        this.next = cell.second ? [cell.second] : [];
        return this.play(cell.second ? cell.first : cell);
    }

    async play(cell, offset = 0) {
        this.sound.onProblem("");
        const clip = {side: cell.tone.clip ? cell.sideIndex : null, ...cell.tone.clip};
        const repeat = this.repeats && this.next.length === 0;
        if (await this.sound.play(clip, {offset, repeat})) {
            this.playing = cell;
            this.changed();
        }
    }

    ended() {
        this.playing = null;
        if (this.next.length)
            this.play(this.next.shift());
        this.changed();
    }

    stop() {
        this.next = [];
        this.sound.stop();
        this.playing = null;
        this.changed();
    }

    // `letter` "a" or "b"; the two of a difference become both.
    take(letter, cell) {
        if (!cell || cell.off)
            return;
        if (cell.second)
            [this.a, this.b] = [cell.first, cell.second];
        else
            this[letter] = cell;
        this.changed();
    }

    exchange() {
        if (!this.a || !this.b)
            return;
        const from = this.playing || this.last;
        const within = this.playing !== null && [this.a, this.b].includes(this.playing);
        this.last = from === this.a ? this.b : this.a;
        this.next = [];
        this.play(this.last, within ? () => this.sound.position() ?? 0 : 0);
    }

    letters(cell) {
        return (cell === this.a ? "A" : "") + (cell === this.b ? "B" : "");
    }
}
