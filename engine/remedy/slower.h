// SPDX-License-Identifier: MIT
#pragma once

#include "engine/remedy/scene.h"
#include "engine/remedy/search.h"

#include <optional>

namespace canebrake
{

/// The fastest whole number of quarters a minute at which the place is no worse than `goal`, and what that
/// helps. Empty: there is none from 0.3 of the marked tempo up.
std::optional<Remedy> slower(const TrialRoom&, const Scene&, Grade goal);

} // namespace canebrake
