// SPDX-License-Identifier: MIT
#pragma once

// Rendered notes and what is told of them, for others to tell the same.
#include "engine/listening/note_ends.h"
#include "engine/listening/tone.h"
#include "tests/engine/rendered.h"

namespace canebrake
{

struct Heard {
    std::string name;
    int written = 0;
    Rendered sound;
    std::span<const float> note, settled;
    ToneMeasure ours;
};
/// Tongued notes of a second, E3 to C6 written, soft to loud.
inline const std::vector<Heard>& rendered_notes()
{
    static const std::vector<Heard> all = [] {
        std::vector<Heard> heard;
        for (const int written : {52, 57, 62, 67, 69, 71, 76, 81, 84})
            for (const char* dynamic : {"p", "mf", "ff"}) {
                Heard h{pitch_name(written) + " " + dynamic, written, one_note(written, dynamic), {}, {}, {}};
                h.note = h.sound.note(0);
                const auto where = listening::settled_stretch(h.note.size(), {output_rate});
                h.settled = h.note.subspan(where.start, where.end - where.start);
                h.ours = measure_tone(h.note, {output_rate}, h.sound.notes[0].target_hz);
                heard.push_back(std::move(h)); // a moved vector keeps its samples where they are
            }
        return heard;
    }();
    return all;
}

} // namespace canebrake
