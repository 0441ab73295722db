// SPDX-License-Identifier: MIT
#pragma once

#include "models/instruments/family.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// What a text says about an instrument: "Klarinette in Es", "Clarinetto basso", "petite clarinette", "Fl.
/// 2". Words of English, German, French and Italian, in family_words.csv.
struct NameReading {
    bool clarinet = false;    ///< some kind of clarinet is named
    std::string size;         ///< "bass", "alto" …, "small"; empty: the plain one, or not said
    std::string key;          ///< "E-flat" … "A", "F"; empty: not said
    std::string other;        ///< another instrument's name, if one is named: "flute"
    bool low_c = false;       ///< "to low C"
    bool whole = false;       ///< nothing but the name, its number and little words stand in the text
    bool asks_change = false; ///< "muta in", "change to", "nimmt" …
};
NameReading read_instrument_name(std::string_view text);

/// The member a reading means; nullptr where it says no more than "clarinet", or a clarinet we do not have.
const FamilyMember* member_in(const NameReading&);

/// What a file says about who plays.
struct NamedBy {
    std::string sound_id{};             ///< MusicXML instrument-sound
    std::string part_name{};            ///< or a MIDI track's
    int midi_program = -1;              ///< 0–127
    std::optional<int> transposition{}; ///< sounding minus printed, if the file says it
};

/// Who that is, and by what it was told. `member` nullptr and `other` empty: nothing was said.
struct Named {
    const FamilyMember* member = nullptr;
    std::string other; ///< "flute", "saxophone" …: no clarinet
    std::string why;   ///< "its name is 'Clarinet in A'"
};

/// The sound id and the name are heard first; where they disagree, the one that the transposition agrees
/// with, else the name, which somebody typed. A bare "clarinet" is the one of its transposition, else the B♭.
Named member_for(const NamedBy&);

/// The member commonly written at this distance: −3 is A. nullptr: none.
const FamilyMember* member_at(int transposition);

} // namespace canebrake
