// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/musicxml/written.h"

#include <array>
#include <map>
#include <pugixml.hpp>
#include <utility>

namespace canebrake::musicxml
{

/// What alters a letter here: the key signature, and accidentals earlier in the bar.
struct KeyState {
    std::array<double, 7> key{};                    ///< by step, 0 = C
    std::map<std::pair<int, int>, double> in_bar{}; ///< by (step, octave)

    void read_key(const pugi::xml_node&);
    double alter(int step, int octave) const;
};

/// Pitch, marks and ornaments of a pitched note; position and length are the caller's. Learns the note's
/// accidental. False if the pitch is missing or makes no sense.
bool read_note(const pugi::xml_node&, int transposition_semitones, double transposition_rest, KeyState&,
               WrittenNote&, Sighting& unknown_ornaments, const std::string& bar);

/// Keeps the higher of two notes of a chord; the marks of both count for it.
void merge_chord_note(WrittenNote& kept, const WrittenNote& other);

} // namespace canebrake::musicxml
