// SPDX-License-Identifier: MIT
#pragma once

#include "engine/remedy/trial.h"

#include <optional>

namespace canebrake
{

/// A spot with the music around it, where changes are tried on it.
struct Scene {
    PlacedSpot target; ///< as it is judged here
    Window window;
    Verdicts by_ear, by_rule;
    bool rule_decides = false; ///< the ear adds nothing to its grade
};

/// The narrowest surroundings in which the spot is what it is in the whole part. Empty: not even the whole
/// part, judged alone, has it.
std::optional<Scene> scene_of(const TrialRoom&, const PlacedSpot&);

/// Milder there, and no other place worse.
bool helps(const Comparison&);

} // namespace canebrake
