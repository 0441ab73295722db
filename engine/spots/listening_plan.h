// SPDX-License-Identifier: MIT
#pragma once

#include "engine/spots/rules.h"

#include <span>

namespace canebrake
{

/// Renders each different place of these spots once and fills in `heard`. Two places are the same if the same
/// fingers move at the same dynamic between notes of about the same lengths. `part` and `settings` say who
/// plays: the judged player, or another on the same line.
void listen_to(const Performed&, const Part&, const RenderSettings&, std::span<Spot>, unsigned threads);

} // namespace canebrake
