// SPDX-License-Identifier: MIT
#pragma once

#include "engine/spots/rules.h"

#include <string>

namespace canebrake
{

/// What the fingers do between two notes, and what is heard of it. For crossing, leap, hanging,
/// little_finger, contrary, fingers, extension.
std::string of_change(const Performed&, const Spot&);
/// For rocking.
std::string of_rocking(const Performed&, const Spot&);
/// For trill and tremolo: the best way this pair has.
std::string of_ornament(const Performed&, const Spot&);
/// For slide.
std::string of_slide(const Performed&, const Spot&);

/// The lowest and the highest note of a spot.
std::pair<std::size_t, std::size_t> outer_notes(const Performed&, const Spot&);

} // namespace canebrake
