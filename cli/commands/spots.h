// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/exit_codes.h"
#include "cli/commands/run.h"
#include "cli/commands/spot_report.h"
#include "cli/commands/spots_options.h"

#include <string>
#include <vector>

namespace canebrake
{

/// Everything `canebrake spots` has found in a line or a score.
struct SpotsReport {
    std::vector<PartReport> parts;       ///< the clarinets, in the order of the score
    std::vector<std::string> chairs;     ///< changes between parts of one player, one line each
    std::vector<std::string> not_judged; ///< what this program does not judge, one phrase each
};

/// `canebrake spots`: the places of a line that will cost rehearsal time. `spots_found` if the request asks
/// for it and there are some; else `done`. Throws InputError, or BrokenOff.
ExitCode spots(const SpotsRequest&, const Console&);

/// A table within 80 columns.
std::string spots_text(const SpotsReport&, const SpotsRequest&);
/// Schema canebrake-spots, version 1 (README).
std::string spots_json(const SpotsReport&, const SpotsRequest&);

} // namespace canebrake
