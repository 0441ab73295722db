// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/spots/options.h"
#include "cli/options/exit_codes.h"
#include "cli/terminal/console.h"

namespace canebrake
{

/// `canebrake spots`: the places of a line that will cost rehearsal time. `spots_found` if the request asks
/// for it and there are some; else `done`. Throws InputError, or BrokenOff.
ExitCode spots(const SpotsRequest&, const Console&);

} // namespace canebrake
