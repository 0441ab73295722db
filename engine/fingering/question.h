// SPDX-License-Identifier: MIT
#pragma once

#include "engine/fingering/answers.h"

#include <string>
#include <variant>
#include <vector>

namespace canebrake
{

/// What somebody wants to know of fingerings.
struct FingeringQuestion {
    std::vector<std::string> notes{}; ///< one, or two for a slur or a trill: pitch names
    bool trill = false;
    std::string instrument = "B-flat"; ///< a family name or an alias
    Kit kit{};
    bool sounding = false; ///< the notes are meant as they sound
};

using FingeringAnswer = std::variant<NoteAnswer, SlurAnswer, TrillAnswer>;

/// The instrument a question is about. InputError (Fault::usage).
const Instrument& instrument_of(const FingeringQuestion&);

/// InputError: a note the instrument does not have (Fault::off_range), the same note twice or a trill too
/// wide (Fault::usage).
FingeringAnswer answer_of(const FingeringQuestion&, const Instrument&);

} // namespace canebrake
