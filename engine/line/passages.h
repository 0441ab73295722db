// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <vector>

namespace canebrake
{

/// A stretch of music [from, to) that is played at position `at` of another line: a pass through a repeat, or
/// what is left when bars are cut out. All in quarters.
struct Passage {
    double from = 0.0;
    double to = 0.0;
    double at = 0.0;
};

/// Curves follow the music: each passage repeats its points, opens with the value in force where it was taken
/// from, and ends a ramp that it cuts short at the value reached there. `unsaid` is the dynamic before the
/// first mark.
std::vector<TempoPoint> replay(const std::vector<TempoPoint>&, const std::vector<Passage>&);
std::vector<DynamicPoint> replay(const std::vector<DynamicPoint>&, const std::vector<Passage>&,
                                 double unsaid = 4.0);

/// Key signatures follow the music too. A jump back to where nothing was said yet goes back to no
/// accidentals; a signature that changes nothing is left out.
std::vector<KeyPoint> replay(const std::vector<KeyPoint>&, const std::vector<Passage>&);

} // namespace canebrake
