// SPDX-License-Identifier: MIT
#pragma once

#include "models/bore/geometry.h"

#include <string_view>

namespace canebrake
{

/// Extras of the keywork that some instruments of the same chart have and others lack.
struct Mechanism {
    bool articulated_c_sharp = false; ///< the C♯/G♯ pad stays shut while a right-hand ring is down
    bool left_a_flat_lever = false;   ///< the left little finger reaches the A♭/E♭ pad as well
};

/// What the seventeen keys and six rings of a Boehm soprano do to its 24 holes. Tokens, in any order, apart
/// by spaces: T thumb hole covered; R register key; L1–L3, R1–R3 fingers down; A, Ab throat keys; S1–S4 side
/// keys from the lowest; SL, RS left and right sliver; CS (left little finger only), AE (right only, unless
/// there is a lever: AE:l); E, F, FS little-finger keys, which both hands have: E:l or E:r where the hand
/// matters, E where either will do. The holes do not care. Hole order is that of design.csv, from the tip;
/// the vent is hole 0. Throws InputError on an unknown token. Each rule as common practice has it; the
/// published patterns from E3 to C7 follow from them.
HoleState boehm_holes(std::string_view keys, const Mechanism& = {});

inline constexpr std::size_t boehm_vent = 0;
inline constexpr std::size_t boehm_hole_count = 24;

} // namespace canebrake
