// SPDX-License-Identifier: MIT
#pragma once

#include "models/air/air.h"
#include "models/bore/resonator.h"

#include <vector>

namespace canebrake
{

/// Where the reed's motion and flow put the played pitch: as if the bore were longer by this at its top
/// (reference radius 7.3 mm). About 1 cm³ by Dalmont, Guillemain & Taillard (Acoustics 2012, abstract).
inline constexpr double reed_length_m = 6.0e-3;

/// The same of another reed: a slower one lags more, and a wider window lets more of the lag into the bore.
inline double reed_length(double reed_hz, double reed_window)
{
    return reed_length_m * reed_window * 2600.0 / reed_hz;
}

/// Frequency a resonance near `near_hz` plays at, reed included: Im(Y_bore + jk·reed_length) = 0. 0 if none
/// lies within `reach_cents` (350: a maker looks far).
double played_frequency(const Resonator&, HoleState, double near_hz, double reach_cents = 350.0,
                        double reed_m = reed_length_m);

/// One wish of the maker: with this state of the holes, this pitch, so important.
struct TuningTarget {
    HoleState holes;
    double frequency_hz;
    double weight = 1.0;
};

/// Which hole a group of targets places.
struct HoleTargets {
    std::size_t hole;
    std::vector<TuningTarget> targets;
};

/// Places holes as a maker does, from the bell up, each where the weighted mean of its targets' deviations is
/// zero; repeated, since holes above hang over those below with their shut volume. Sizes stay as designed.
/// Holes keep 1.5 mm of order between each other (they lie around the tube). Returns the geometry with its
/// holes moved.
Geometry place_holes(Geometry, const Air&, std::size_t vent, const std::vector<HoleTargets>&, int sweeps = 4,
                     double reed_m = reed_length_m);

} // namespace canebrake
