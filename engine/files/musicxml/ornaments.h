// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/musicxml/notes.h"
#include "engine/files/musicxml/written.h"

#include <optional>
#include <pugixml.hpp>
#include <string>

namespace canebrake::musicxml
{

/// What the letters around a note are, for the distance to an ornament's other notes.
struct Place {
    int octave;
    double alter;
    const KeyState& state;
};

/// The accidentals printed with an ornament, which may stand above and below it.
struct Accidentals {
    std::optional<double> above, below;

    void read(const pugi::xml_node& mark);
};

/// The neighbour one letter up (way 1) or down (-1), as printed: with its own accidental, else the bar's and
/// the key's. In semitones, without a sign; 1 where spelling makes it nothing (E sharp to F).
int neighbour_distance(const Note&, const Place&, int way, std::optional<double> accidental);

/// The children of an ornaments element into the note; `apart` are accidentals that stand beside it.
void read_ornaments(const pugi::xml_node&, const Accidentals& apart, const Place&, WrittenNote&,
                    Sighting& unknown, const std::string& bar);

/// One stroke of the note's tremolo: each flag and each stroke halve, tuplets count. 0: the shape is not
/// given. A two-note tremolo's own 2:1 (MusicXML 4.0, tremolo) is no tuplet.
double printed_stroke(const pugi::xml_node& note, int strokes, bool two_note);

} // namespace canebrake::musicxml
