// SPDX-License-Identifier: MIT
#include "engine/line/line.h"

#include <algorithm>

namespace canebrake
{

// Where grace notes find their time. We place them on the beat and start the main note late: that never
// collides with what comes before, and the same rule serves a line that begins with a grace note. (Many
// players put short ones just before the beat; that is the plan's business, not the reader's.)
//   slashed                 70 ms each, together at most half of the main note
//   one without a slash     half of the main note, at most a quarter note
//   several without         100 ms each, together at most half of the main note
//   after-grace             70 ms (slashed) or 100 ms each, at most the last half of the note before
// The figures are common practice, no source.
namespace
{

constexpr double slashed_s = 0.070;
constexpr double run_s = 0.100;
constexpr double longest_appoggiatura_quarters = 1.0;

double quarters_for(const TempoMap& tempo, double at, double seconds)
{
    return tempo.quarter_at(tempo.seconds_at(at) + seconds) - at;
}

/// Lays notes [first, last) end to end from `at`, sharing `room` by their wished lengths.
void lay_out(std::vector<Note>& notes, std::size_t first, std::size_t last, double at, double room,
             const std::vector<double>& wished)
{
    double sum = 0.0;
    for (double w : wished)
        sum += w;
    const double shrink = sum > room ? room / sum : 1.0;
    for (std::size_t i = first; i < last; ++i) {
        notes[i].start_quarter = at;
        notes[i].length_quarters = wished[i - first] * shrink;
        at += notes[i].length_quarters;
    }
}

} // namespace

void place_grace_notes(Line& line)
{
    const TempoMap tempo(line.tempo);
    std::vector<Note>& notes = line.notes;
    std::size_t i = 0;
    while (i < notes.size()) {
        if (!notes[i].grace || notes[i].length_quarters > 0.0) {
            ++i;
            continue;
        }
        // One group: graces that stand at one spot and lean the same way.
        std::size_t end = i;
        while (end < notes.size() && notes[end].grace && notes[end].grace_after == notes[i].grace_after &&
               notes[end].start_quarter == notes[i].start_quarter)
            ++end;
        const double spot = notes[i].start_quarter;
        std::size_t main = end;
        while (main < notes.size() && notes[main].grace)
            ++main;
        const bool has_main = main < notes.size() && notes[main].start_quarter <= spot + 1e-9;
        const bool has_before = i > 0;
        const bool from_before = (notes[i].grace_after && has_before) || (!has_main && has_before);

        std::vector<double> wished;
        for (std::size_t k = i; k < end; ++k)
            wished.push_back(quarters_for(tempo, spot, notes[k].grace_slashed ? slashed_s : run_s));
        if (from_before) {
            Note& before = notes[i - 1];
            double sum = 0.0;
            for (double w : wished)
                sum += w;
            const double taken = std::min(sum, before.length_quarters / 2.0);
            before.length_quarters -= taken;
            lay_out(notes, i, end, before.start_quarter + before.length_quarters, taken, wished);
        } else if (has_main) {
            // Graces between this group and its main note (after-graces at the very start) go with it.
            end = main;
            while (wished.size() < end - i)
                wished.push_back(quarters_for(tempo, spot, run_s));
            Note& note = notes[main];
            if (wished.size() == 1 && !notes[i].grace_slashed)
                wished[0] = std::min(note.length_quarters / 2.0, longest_appoggiatura_quarters);
            lay_out(notes, i, end, note.start_quarter, note.length_quarters / 2.0, wished);
            const double main_start = notes[end - 1].start_quarter + notes[end - 1].length_quarters;
            note.length_quarters -= main_start - note.start_quarter;
            note.start_quarter = main_start;
        } else {
            // No neighbour to take time from: they sound where they stand, up to the next note.
            double room = 4.0;
            if (end < notes.size())
                room = std::max(1e-3, notes[end].start_quarter - spot);
            lay_out(notes, i, end, spot, room, wished);
        }
        i = end;
    }
    for (const Note& note : notes)
        line.end_quarter = std::max(line.end_quarter, note.start_quarter + note.length_quarters);
}

} // namespace canebrake
