// SPDX-License-Identifier: MIT
// Playing one line on several sides: any moment another side can go on from the same place in the music.

class Transport {
    // changed(place, side, playing): told at each step of the clock and at each order.
    constructor(comparison, sound, changed) {
        this.sides = comparison.sides;
        this.sound = sound;
        this.changed = changed;
        this.times = this.sides.map((side, index) => new MusicTime(side, comparison.rows, index));
        this.side = 0;
        this.place = this.start = Math.min(0, ...this.times.map((time) => time.places[0] ?? 0));
        this.playing = false;
        this.sound.onEnd = () => this.ended();
    }

    now() {
        const position = this.playing ? this.sound.position() : null;
        return position === null ? this.place : this.times[this.side].place(position);
    }

    async play(side, place) {
        this.sound.onProblem("");
        const moving = this.playing;
        const wanted = () => this.times[side].time(place ?? (moving ? this.now() : this.place));
        const clip = {side, start_s: 0, end_s: this.sides[side].duration_s || Infinity};
        if (!await this.sound.play(clip, {offset: wanted}))
            return false;
        this.side = side;
        this.playing = true;
        this.step();
        // The others are unpacked meanwhile, so that changing over does not wait.
        this.sides.forEach((_, index) => this.sound.has(index) && this.sound.unpack(index).catch(() => {}));
        return true;
    }

    pause() {
        this.place = this.now();
        this.playing = false;
        this.sound.stop();
        this.changed(this.place, this.side, false);
    }

    toggle() {
        return this.playing ? this.pause() : this.play(this.side);
    }

    ended() {
        this.playing = false;
        this.place = this.start;
        this.changed(this.place, this.side, false);
    }

    // Another side, from the same place; silent if nothing sounds.
    choose(side) {
        if (side < 0 || side >= this.sides.length || side === this.side)
            return;
        if (this.playing) {
            this.play(side);
        } else {
            this.side = side;
            this.changed(this.place, side, false);
        }
    }

    step() {
        if (!this.playing)
            return;
        this.changed(this.now(), this.side, true);
        requestAnimationFrame(() => this.step());
    }
}
