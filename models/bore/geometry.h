// SPDX-License-Identifier: MIT
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace canebrake
{

/// One corner of the bore's profile; radius runs straight between corners, and two corners at one place are a
/// step.
struct BorePoint {
    double x_m;      ///< from the mouthpiece tip
    double radius_m; ///< > 0
};

enum class HoleCover { finger, pad };

/// A tone hole, a cylinder in the wall.
struct ToneHole {
    std::string name;
    double x_m = 0.0; ///< centre, from the tip
    double radius_m = 0.0;
    double chimney_m = 0.0; ///< outer end to bore wall
    HoleCover cover = HoleCover::finger;
    double pad_lift_m = 0.0; ///< height of an open pad over the hole; 0: nothing hangs over it
};

/// Mouthpiece to bell. `holes` lie in order from the tip; at most 32.
struct Geometry {
    std::vector<BorePoint> bore;
    std::vector<ToneHole> holes;
    double length_m() const { return bore.back().x_m; }
    double radius_at(double x_m) const;
};

/// Which holes are open: bit i is holes[i]. `half` marks those that are open only in part (a rolled finger, a
/// half-hole key); they count as open too.
struct HoleState {
    std::uint32_t open = 0;
    std::uint32_t half = 0;
    friend constexpr bool operator==(HoleState, HoleState) = default;
    friend constexpr auto operator<=>(HoleState, HoleState) = default;
};

/// Share of a hole's area that a half-open hole leaves free.
inline constexpr double half_hole_area = 0.25;

} // namespace canebrake
