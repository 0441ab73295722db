// SPDX-License-Identifier: MIT
#pragma once

#include "engine/comparison/sides.h"
#include "engine/part/watch.h"

#include <span>

namespace canebrake
{

/// Plays the line the request names on each of its clarinets by each of its players, at the same sounding
/// pitch, and measures every note. Holds the sound of each side: at most `longest_compared_s`.
LinesReport compare_lines(const Score&, const ComparisonRequest&, const Watch&);

/// Reads recordings of the same line, finds their notes and sets them side by side.
LinesReport compare_recordings(std::vector<Recording>, const ComparisonRequest&, const Watch&);

/// The sound from one time to another.
std::span<const float> between(const Audio&, double from_s, double to_s);

constexpr double longest_compared_s = 1800.0;

} // namespace canebrake
