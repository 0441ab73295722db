// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/spots.h"

namespace canebrake
{

/// `--annotate`: the file again with words at the spots, everything else in it untouched; of MIDI or a typed
/// phrase, a part for the clarinet that plays it. `lines`: the parts as they were read, as in the report.
/// InputError if it cannot be written.
void write_copy(const SpotsReport&, const std::vector<Line>& lines, const SpotsRequest&, const Console&);

} // namespace canebrake
