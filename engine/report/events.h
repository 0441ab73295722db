// SPDX-License-Identifier: MIT
#pragma once

#include "engine/listening/note_meter.h"
#include "engine/part/casting.h"
#include "engine/part/line_request.h"
#include "engine/rendering/sequence.h"

#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// What is reported of a rendering. `measures`: one for each note that sounds, in order.
struct EventReport {
    const LineRequest& request;
    std::string sound_file; ///< where the sound is written to; empty: to no file
    std::string bits;       ///< of its samples: "16", "24", "float"
    const Line& line;       ///< the whole part
    const Casting& casting;
    const Sequence& sequence;
    std::vector<NoteMeasure> measures;
};

/// JSON, schema "canebrake-events" version 1: assets/docs/formats.md describes each field. One note a line,
/// written as it is made, so that a long line needs no more memory than a short one.
void write_events(const EventReport&, const std::function<void(std::string_view)>& write);

} // namespace canebrake
