// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/musicxml/fraction.h"
#include "engine/line/line.h"

#include <string>
#include <vector>

namespace canebrake::musicxml
{

/// When the notes of a line stand on a page: exact, and such that notes can say it.
struct PageTime {
    struct Span {
        Fraction start, end; ///< equal for grace notes, and for notes that find no room
    };
    std::vector<Span> notes;
    std::vector<Bar> bars;            ///< without holes, to the end of the last note at least
    std::vector<Fraction> bar_starts; ///< and, last, the end
};

/// The fraction that a position or length stands for: tuplets come back exactly from their decimals. What no
/// note value says goes to the nearest 1/32 of a quarter; `moved` learns that.
Fraction page_fraction(double quarters, bool* moved = nullptr);

/// Times of a printed or typed line stay as they are. A line that was played (a MIDI file: Source::id says
/// "track …") is put on a grid, beat by beat the simplest of halves, thirds, quarters … that fits, and short
/// gaps before the next note are closed; remarks say how many notes moved, and how far.
PageTime page_time(const Line&, std::vector<std::string>& remarks);

} // namespace canebrake::musicxml
