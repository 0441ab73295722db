// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/grade.h"
#include "engine/plan/kit.h"

#include <array>

namespace canebrake
{

/// Air used: the share of what one breath holds by the easy, the awkward and the risky limit. 1 is all of it.
using Air = std::array<double, 3>;

/// What the lungs last, times a professional's on the B-flat clarinet; infinite for the ideal player.
double lung_of(Player, double breath_factor);

/// Adds what `seconds` take while the ladder level goes straight from one to another: the integral of dt over
/// what a breath lasts at the level.
void add_air(Air&, double from_level, double to_level, double seconds, double lung);

/// The first limit that this keeps.
Grade grade_of(const Air&);

} // namespace canebrake
