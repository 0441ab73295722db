// SPDX-License-Identifier: MIT
#pragma once

#include "models/bore/geometry.h"

#include <cstdint>
#include <string_view>
#include <vector>

namespace canebrake
{

/// What opens a hole. Named as the holes in an instrument's holes.csv.
enum class HoleRule : std::uint8_t {
    vent,
    lower_vent, ///< low clarinets: opened instead of the other while the right ring finger is down
    side4,
    side3,
    throat_a,
    throat_a_flat,
    upper_pad,
    thumb,
    side2,
    left1,
    bridge_pad,
    left2,
    left_sliver,
    side1,
    left3,
    c_sharp,
    right_ring_pad,
    right1,
    right_sliver,
    right2,
    right3,
    a_flat_e_flat,
    f_c_pad,
    f_sharp_c_sharp,
    e_b_pad,
    low_e_flat_pad, ///< the rest only where the instrument goes on below E3: shut by the key of its note or
                    ///< lower
    low_d_pad,
    low_c_sharp_pad,
    low_c_pad
};

/// The keywork of one instrument: what each of its holes obeys, from the tip, and extras that some
/// instruments of the same chart have and others lack. Without a list of holes, the Boehm soprano's 24.
struct Mechanism {
    bool articulated_c_sharp = false; ///< the C♯/G♯ pad stays shut while a right-hand ring is down
    bool left_a_flat_lever = false;   ///< the left little finger reaches the A♭/E♭ pad as well
    bool half_hole = false;           ///< the left index has a plate with a small hole (alto and below)
    std::vector<HoleRule> holes{};

    /// Its register vents, by hole index: the usual one, then the lower.
    std::vector<std::size_t> vents() const;
};

/// Rules of holes by their names; throws InputError on a name that is none of HoleRule's.
std::vector<HoleRule> hole_rules(const Geometry&);

/// What the seventeen keys and six rings of a Boehm clarinet do to its holes. Tokens, in any order, apart
/// by spaces: T thumb hole covered; R register key; L1–L3, R1–R3 fingers down; H1 the left index on the small
/// hole of its plate (half-hole); A, Ab throat keys; S1–S4 side keys from the lowest; SL, RS left and right
/// sliver; CS (left little finger only), AE (right only, unless there is a lever: AE:l); E, F, FS
/// little-finger keys, which both hands have: E:l or E:r where the hand matters, E where either will do; lEb,
/// lD, lCs, lC the keys below E3, each of which shuts all above it. The holes do not care for hands. Throws
/// InputError on an unknown token. Each rule as common practice has it; the published patterns from E3 to C7
/// follow from them.
HoleState boehm_holes(std::string_view keys, const Mechanism& = {});

inline constexpr std::size_t boehm_vent = 0;
inline constexpr std::size_t boehm_hole_count = 24;

} // namespace canebrake
