// SPDX-License-Identifier: MIT
#include "engine/files/midi/notes.h"

#include <algorithm>
#include <array>

namespace canebrake
{

std::vector<KeyPress> key_presses(const MidiTrack& track, int channel)
{
    struct Key {
        int press = -1; ///< index of what is down, or −1
        std::int64_t struck_again =
            -1; ///< tick at which it was struck while down; a release then is the old one's
    };
    std::array<Key, 128> keys;
    std::vector<KeyPress> presses;
    const auto let_go = [&](Key& key, std::int64_t tick) {
        KeyPress& press = presses[std::size_t(key.press)];
        press.off = std::max(tick, press.on + 1);
        key.press = -1;
    };
    for (const MidiEvent& event : track.events) {
        if (event.status >= 0xF0 || event.channel() != channel)
            continue;
        const bool on = event.kind() == 0x90 && event.data2 > 0;
        const bool off = event.kind() == 0x80 || (event.kind() == 0x90 && event.data2 == 0);
        if (on || off) {
            Key& key = keys[event.data1];
            if (off && key.struck_again == event.tick) {
                key.struck_again = -1;
                continue;
            }
            const bool was_down = key.press >= 0;
            if (was_down)
                let_go(key, event.tick);
            if (on) {
                key.struck_again = was_down ? event.tick : -1;
                key.press = int(presses.size());
                presses.push_back({event.tick, event.tick, event.data1, event.data2, event.number});
            }
        }
        if (event.kind() == 0xB0 && (event.data1 == 120 || event.data1 >= 123))
            for (Key& key : keys)
                if (key.press >= 0)
                    let_go(key, event.tick);
    }
    for (Key& key : keys)
        if (key.press >= 0) {
            presses[std::size_t(key.press)].stuck = true;
            let_go(key, track.end_tick);
        }
    std::stable_sort(presses.begin(), presses.end(), [](const KeyPress& a, const KeyPress& b) {
        return a.on != b.on ? a.on < b.on : a.key > b.key;
    });
    return presses;
}

namespace
{

/// Whether the legato pedal is down at a tick; ask in order of time.
class LegatoPedal
{
public:
    explicit LegatoPedal(const std::vector<MidiEvent>& controls) : controls_(controls) {}
    bool down_at(std::int64_t tick)
    {
        for (; next_ < controls_.size() && controls_[next_].tick <= tick; ++next_) {
            const MidiEvent& event = controls_[next_];
            if (event.kind() == 0xB0 && event.data1 == 68)
                down_ = event.data2 >= 64;
            if (event.kind() == 0xB0 && event.data1 == 121) // reset all controllers
                down_ = false;
        }
        return down_;
    }

private:
    const std::vector<MidiEvent>& controls_;
    std::size_t next_ = 0;
    bool down_ = false;
};

} // namespace

OneVoice one_voice(std::vector<KeyPress> presses, const std::vector<MidiEvent>& controls,
                   std::int64_t tolerance)
{
    OneVoice voice;
    bool counted = false; // this chord is in `chords` already
    for (KeyPress& press : presses) {
        voice.stuck += press.stuck ? 1 : 0;
        if (!voice.notes.empty()) {
            KeyPress& before = voice.notes.back();
            const bool together = press.on - before.on <= tolerance && before.off > press.on;
            const bool inside = press.key < before.key && press.off <= before.off && !before.stuck;
            if (together || inside) {
                ++voice.left_out;
                voice.chords += counted ? 0 : 1;
                counted = true;
                if (together && press.key > before.key) {
                    press.on = before.on;
                    before = press;
                }
                continue;
            }
            if (before.off > press.on) {
                before.off = press.on;
                before.slurred = !before.stuck;
            }
        }
        voice.notes.push_back(press);
        counted = false;
    }
    LegatoPedal pedal(controls);
    for (std::size_t i = 0; i + 1 < voice.notes.size(); ++i) {
        KeyPress& note = voice.notes[i];
        const std::int64_t next = voice.notes[i + 1].on;
        const std::int64_t gap = next - note.off;
        if (gap <= tolerance && 4 * gap <= note.off - note.on)
            note.off = next;
        if (note.off == next && pedal.down_at(next))
            note.slurred = true;
    }
    return voice;
}

} // namespace canebrake
