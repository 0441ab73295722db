// SPDX-License-Identifier: MIT
#pragma once

#include "engine/part/watch.h"
#include "engine/telling/spot_report.h"

#include <string>
#include <vector>

namespace canebrake
{

/// Everything that was found in a line or a score.
struct SpotsReport {
    std::vector<PartReport> parts;       ///< the clarinets, in the order of the score
    std::vector<Line> lines;             ///< as they were read, one a part
    std::vector<std::string> chairs;     ///< changes between parts of one player, one line each
    std::vector<std::string> not_judged; ///< what this program does not judge, one phrase each
    int count = 0;                       ///< spots, numbered from 1 through all parts
};

/// Judges the part the request names, or all clarinet parts of the score. The request's file or phrase is not
/// read again. InputError as `choose_part` and `part_to_play`; BrokenOff.
SpotsReport spots_of(const Score&, const LineRequest&, TrillBooks&, const Watch& = {});

} // namespace canebrake
