// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/fingering_answers.h"
#include "cli/commands/fingering_options.h"
#include "cli/commands/run.h"

#include <string>
#include <variant>

namespace canebrake
{

/// `canebrake fingering`: answers for a note, a slur or a trill, on `out` and, if asked, as a picture. Throws
/// InputError; then nothing was written.
void fingering(const FingeringRequest&, const Console&);

using FingeringAnswer = std::variant<NoteAnswer, SlurAnswer, TrillAnswer>;

/// To read in a terminal: lines of 80 columns at most.
std::string as_text(const FingeringAnswer&, const Instrument&, bool utf8);
/// Schema "canebrake-fingering" version 1: README.md describes each field.
std::string as_json(const FingeringAnswer&, const Instrument&, const FingeringRequest&);
/// To print: one row a fingering, black on white.
std::string as_svg(const FingeringAnswer&, const Instrument&);

} // namespace canebrake
