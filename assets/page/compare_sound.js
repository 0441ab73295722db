// SPDX-License-Identifier: MIT
// Sound of the sides: packed in the page, unpacked on the first wish to hear, played through one volume.

const crossFadeSeconds = 0.025;

class Sound {
    constructor(onProblem) {
        this.onProblem = onProblem;
        this.volumeDb = -12;
        this.buffers = new Map();
        this.voice = null;
        this.wish = 0; // counts what was asked for, so that a late unpacking starts nothing stale
        this.onEnd = () => {};
    }

    has(side) {
        return document.getElementById("sound-" + side) !== null;
    }

    setVolume(decibels) {
        this.volumeDb = decibels;
        if (this.master)
            this.master.gain.setTargetAtTime(this.gain(), this.context.currentTime, 0.01);
    }

    gain() {
        return this.volumeDb <= -60 ? 0 : Math.pow(10, this.volumeDb / 20);
    }

    open() {
        if (!this.context) {
            this.context = new AudioContext();
            this.master = this.context.createGain();
            this.master.gain.value = this.gain();
            this.master.connect(this.context.destination);
        }
        return this.context.resume();
    }

    unpack(side) {
        if (!this.buffers.has(side)) {
            const binary = atob(document.getElementById("sound-" + side).textContent);
            const bytes = new Uint8Array(binary.length);
            for (let i = 0; i < binary.length; ++i)
                bytes[i] = binary.charCodeAt(i);
            this.buffers.set(side, this.context.decodeAudioData(bytes.buffer));
        }
        return this.buffers.get(side);
    }

    // Plays side's sound from start_s to end_s, from `offset` seconds in. What sounds gives way by a cross-fade.
    // True once it sounds.
    async play(clip, {offset = 0, repeat = false} = {}) {
        const wish = ++this.wish;
        if (!this.has(clip.side)) {
            this.onProblem("There is no sound for this side in the page.");
            return false;
        }
        let buffer;
        try {
            const opened = this.open();
            buffer = await this.unpack(clip.side);
            await opened;
        } catch (error) {
            this.onProblem("This browser cannot play the sound of the page (" + error.name + ").");
            return false;
        }
        if (wish !== this.wish)
            return false;
        const from = typeof offset === "function" ? offset() : offset; // asks what still sounds
        this.fadeOut();
        this.voice = this.start(buffer, clip, from, repeat);
        return true;
    }

    start(buffer, clip, offset, repeat) {
        const now = this.context.currentTime;
        const source = this.context.createBufferSource();
        const shape = this.context.createGain();
        const fade = this.context.createGain();
        source.buffer = buffer;
        source.connect(shape).connect(fade).connect(this.master);
        const end = Math.min(clip.end_s, buffer.duration);
        const length = Math.max(0, end - clip.start_s);
        offset = Math.min(Math.max(0, offset), length);
        shape.gain.setValueAtTime(0, now);
        shape.gain.linearRampToValueAtTime(1, now + (offset > 0 ? crossFadeSeconds : 0.004));
        const voice = {clip, source, fade, began: now - offset, length, repeat};
        if (repeat) {
            source.loop = true;
            source.loopStart = clip.start_s;
            source.loopEnd = end;
            source.start(now, clip.start_s + offset);
        } else {
            source.start(now, clip.start_s + offset, length - offset);
        }
        source.onended = () => {
            if (this.voice === voice) {
                this.voice = null;
                this.onEnd(clip);
            }
        };
        return voice;
    }

    fadeOut() {
        const voice = this.voice;
        if (!voice)
            return;
        const now = this.context.currentTime;
        this.voice = null;
        voice.fade.gain.setValueAtTime(1, now);
        voice.fade.gain.linearRampToValueAtTime(0, now + crossFadeSeconds);
        voice.source.stop(now + crossFadeSeconds + 0.01);
    }

    stop() {
        ++this.wish;
        this.fadeOut();
    }

    // Seconds into what sounds, or null.
    position() {
        if (!this.voice)
            return null;
        const elapsed = this.context.currentTime - this.voice.began;
        return this.voice.repeat && this.voice.length > 0 ? elapsed % this.voice.length : elapsed;
    }
}

// Volume, caution and the line for what went wrong; starts low.
function soundControls(sound, ...more) {
    const level = element("output", {class: "level"}, "−12 dB");
    const slider = element("input", {type: "range", id: "volume", min: "-60", max: "0", step: "1"});
    slider.value = String(sound.volumeDb);
    slider.addEventListener("input", () => {
        sound.setVolume(Number(slider.value));
        level.textContent = Number(slider.value) <= -60 ? "silent" : whole(Number(slider.value)) + " dB";
    });
    const status = element("p", {id: "status", role: "status"});
    sound.onProblem = (text) => { status.textContent = text; };
    return element("section", {class: "controls", "aria-label": "Hearing"},
        element("label", {class: "volume"}, "Volume ", slider, level), ...more, status);
}
