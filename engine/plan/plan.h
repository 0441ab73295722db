// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "models/instruments/instrument.h"

#include <vector>

namespace canebrake
{

/// What the planner chose for one note: an index into Instrument::fingerings, or none (off the instrument).
struct Choice {
    static constexpr std::size_t none = ~std::size_t{0};
    std::size_t fingering = none;
};

/// Fingers, thumb and keys that move between two fingerings. A hole that opens or shuts under a finger counts
/// one.
int fingers_moved(const std::string& from_keys, const std::string& to_keys);

/// Cheapest fingering for each note of a line by a shortest path: what moves between slurred notes, and what
/// an alternate costs in tone. `written` per note, in order; `slurred[i]`: note i is joined to note i + 1.
/// `prepares`: the player lays the right hand down early over throat notes (resonance fingerings are open to
/// them).
std::vector<Choice> plan_fingerings(const Instrument&, const std::vector<WrittenPitch>& written,
                                    const std::vector<bool>& slurred, bool prepares);

} // namespace canebrake
