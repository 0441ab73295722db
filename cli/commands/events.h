// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/casting.h"
#include "cli/commands/render_options.h"
#include "cli/commands/whole_file.h"
#include "engine/listening/note_meter.h"
#include "engine/performance/sequence.h"

#include <string>
#include <vector>

namespace canebrake
{

/// What is reported of a rendering. `measures`: one for each note that sounds, in order.
struct EventReport {
    const RenderRequest& request;
    const Line& line; ///< the whole part
    const Casting& casting;
    const Sequence& sequence;
    std::vector<NoteMeasure> measures;
};

/// JSON, schema "canebrake-events" version 1: README.md describes each field. One note a line, written as it
/// is made, so that a long line needs no more memory than a short one.
void write_events(const EventReport&, WholeFile&);

std::string player_name(Player);

/// "pp", "mf" …: the nearest rung of the ladder.
std::string dynamic_name(double level);

/// Name of chromatic `number` on the line's own spelling of the note: the letter moves with the interval (a
/// printed F#4 two semitones lower is E4, a printed Gb4 is Fb4). Sharps where that would take more than two
/// accidentals.
std::string spelled(const Note&, int number);

} // namespace canebrake
