// SPDX-License-Identifier: MIT
#pragma once

#include "models/air/air.h"
#include "models/bore/dual.h"

namespace canebrake
{

/// Losses at the wall of a round tube of radius a, wide-tube form of Keefe (JASA 75, 1984, 58) as in Chaigne
/// & Kergomard, Acoustics of Musical Instruments (2016), eq. 5.143–5.144, written in s (√(−j/ω) = 1/√s):
///
///   series  Zv = (sρ/S)·Fv,  Fv = 1 + 2 (lv/a)/√s + 3 (lv/a)²/s
///   shunt   Yt = (sS/ρc²)·Ft, Ft = 1 + (γ−1)(2 (lt/a)/√s − (lt/a)²/s)
///
/// Good while the radius is many boundary layers (a √(ωρ/μ) > 4: r 1.4 mm down to about 20 Hz).
struct WallLoss {
    double viscous_length;
    double thermal_length;
    double heat_ratio;

    explicit WallLoss(const Air& air)
        : viscous_length(air.viscous_length()), thermal_length(air.thermal_length()),
          heat_ratio(air.heat_ratio)
    {
    }
    /// `root` is 1/√s.
    template <class T> T series(double radius_m, const T& root) const
    {
        const double v = viscous_length / radius_m;
        return T(1.0) + root * (T(2.0 * v) + (3.0 * v * v) * root);
    }
    template <class T> T shunt(double radius_m, const T& root) const
    {
        const double t = thermal_length / radius_m;
        return T(1.0) + (heat_ratio - 1.0) * (root * (T(2.0 * t) - (t * t) * root));
    }
};

} // namespace canebrake
