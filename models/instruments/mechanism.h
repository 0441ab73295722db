// SPDX-License-Identifier: MIT
#pragma once

#include "models/bore/geometry.h"

#include <string_view>

namespace canebrake
{

/// What the seventeen keys and six rings of a Boehm soprano do to its 24 holes. Tokens, in any order, apart
/// by spaces: T thumb hole covered; R register key; L1–L3, R1–R3 fingers down; A, Ab throat keys; S1–S4 side
/// keys from the lowest; SL, RS left and right sliver; CS (left little finger only), AE (right only); E, F,
/// FS little-finger keys. Hole order is that of design.csv, from the tip; the vent is hole 0. Throws
/// InputError on an unknown token. Each rule as common practice has it; the published 46 patterns from E3 to
/// C♯7 follow from them.
HoleState boehm_holes(std::string_view keys);

inline constexpr std::size_t boehm_vent = 0;
inline constexpr std::size_t boehm_hole_count = 24;

} // namespace canebrake
