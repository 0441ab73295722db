// SPDX-License-Identifier: MIT
#pragma once

#include "engine/performance/part.h"
#include "engine/plan/trill.h"
#include "engine/spots/spot.h"

#include <vector>

namespace canebrake
{

/// A line on one instrument, as one player will play it: what there is to judge.
struct Performed {
    TrillBook& book;  ///< its answers grow
    const Line& line; ///< grace notes placed, ornaments written out
    const Part& part; ///< planned from that line with these settings
    const RenderSettings& settings;

    const Instrument& instrument() const { return book.chart().instrument(); }
    const PlannedNote& note(std::size_t i) const { return part.notes[i]; }
    const Note& printed(std::size_t i) const { return line.notes[part.notes[i].line_note]; }
    int written(std::size_t i) const { return part.notes[i].written.number; }
    std::size_t size() const { return part.notes.size(); }
    double seconds(std::size_t i) const
    {
        return sounding_end(part, line, i) - note(i).start_s;
    }                                           ///< it sounds
    double until_next(std::size_t i) const;     ///< from its start to the next note's; the last: to its end
    double silence_before(std::size_t i) const; ///< 0 for a note that follows at once; 10 s before the first
    bool joined_into(std::size_t i) const { return i > 0 && part.joined[i - 1]; }
};

// The rules: what fingers, air and instrument make of a line, before anybody listens. Each appends what it
// finds, easy places too where only the ear can tell. Figures: common practice, no source, unless said
// otherwise.

/// Over the break, leaps, slurs that hang, slides, contrary motion, too much to move, the low extension, held
/// alternates; for each change of fingers outside ornaments.
void finger_rules(const Performed&, std::vector<Spot>&);
/// Trills, mordents, turns, tremolos of two notes, glissandi, slides, flutter-tongue.
void ornament_rules(const Performed&, std::vector<Spot>&);
/// Tongue, breath, the lip's endurance.
void air_rules(const Performed&, std::vector<Spot>&);
/// Off the instrument, high, soft and high, late, throat notes, pitch.
void note_rules(const Performed&, std::vector<Spot>&);

} // namespace canebrake
