// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/compare_report.h"
#include "cli/commands/run.h"

#include <span>

namespace canebrake
{

/// Plays the line the request names on each of its clarinets by each of its players, at the same sounding
/// pitch, and measures every note. Holds the sound of each side: at most `longest_compared_s`.
LinesReport compare_lines(const CompareRequest&, const Console&);

/// Reads recordings of the same line, finds their notes and sets them side by side.
LinesReport compare_recordings(const CompareRequest&, const Console&);

/// The sound from one time to another.
std::span<const float> between(const Audio&, double from_s, double to_s);

constexpr double longest_compared_s = 1800.0;

} // namespace canebrake
