// SPDX-License-Identifier: MIT
#include "engine/plan/timed_note.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

std::vector<TimedNote> timed_notes(const Line& line, int transposition, double tempo_scale)
{
    constexpr double just_before = 1e-6; // a dynamic on the next note is not yet this one's
    const TempoMap tempo(line.tempo, tempo_scale);
    std::vector<TimedNote> notes;
    notes.reserve(line.notes.size());
    auto bar = line.bars.begin();
    for (const Note& note : line.notes) {
        const double from = note.start_quarter, length = note.length_quarters, to = from + length;
        while (bar != line.bars.end() && bar->start_quarter < from - just_before)
            ++bar;
        TimedNote timed;
        timed.start_s = tempo.seconds_at(from);
        timed.end_s = tempo.seconds_at(to);
        timed.written.number = int(std::lround(note.sounding.number)) - transposition;
        timed.dynamic = dynamic_at(line.dynamics, from);
        timed.dynamic_middle = dynamic_at(line.dynamics, from + 0.5 * length);
        timed.dynamic_end = dynamic_at(line.dynamics, std::max(from, to - just_before));
        timed.slurred_to_next = note.slurred_to_next;
        timed.breath_mark = (note.articulations & art_breath_after) != 0;
        timed.fermata = (note.articulations & art_fermata) != 0;
        timed.double_tongue = (note.articulations & art_double_tongue) != 0;
        timed.starts_bar = bar != line.bars.end() && std::abs(bar->start_quarter - from) <= just_before;
        notes.push_back(timed);
    }
    return notes;
}

} // namespace canebrake
