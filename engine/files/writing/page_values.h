// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/musicxml/fraction.h"

#include <string>
#include <vector>

namespace canebrake::musicxml
{

/// How a bar is counted, for where notes are cut.
struct Meter {
    int beats = 4, beat_type = 4;
    Fraction upbeat{}; ///< what is missing before a pick-up's first beat
    bool compound() const { return beats > 3 && beats % 3 == 0 && beat_type >= 8; }
    Fraction beat() const { return Fraction::of(compound() ? 12 : 4, beat_type); }
};

/// A stretch of one bar that one note, or no note, fills. Positions are quarters from the bar line.
struct Stretch {
    Fraction start, length;
    int note = -1;     ///< −1: a rest
    bool goal = false; ///< the second note of a two-note tremolo
};

/// One printed note or rest.
struct Piece {
    Stretch of;       ///< with its own start and length
    int exponent = 0; ///< undotted value: 2^exponent quarters
    int dots = 0;
    int actual = 1, normal = 1; ///< tuplet: actual notes in the time of normal
    bool tuplet_start = false, tuplet_stop = false;
    bool whole_bar = false;           ///< a rest for the bar, whatever it lasts
    std::vector<std::string> beams{}; ///< from the eighth's beam on: "begin", "continue", "end", hooks
};

/// MusicXML's word for 2^exponent quarters, −8 … 5: "quarter" for 0.
const char* value_word(int exponent);

/// Stretches that fill a bar as note values: cut where a reader wants to see the beat, joined into tuplets,
/// beamed by the beat. Rests are cut more than notes.
std::vector<Piece> page_values(const std::vector<Stretch>&, const Meter&);

} // namespace canebrake::musicxml
