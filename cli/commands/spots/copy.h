// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/spots/options.h"
#include "cli/terminal/console.h"
#include "engine/telling/score_report.h"

namespace canebrake
{

/// `--annotate`: the file again with words at the spots, everything else in it untouched; of MIDI or a typed
/// phrase, a part for the clarinet that plays it. InputError if it cannot be written.
void write_copy(const SpotsReport&, const SpotsRequest&, const Console&);

} // namespace canebrake
