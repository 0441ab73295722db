// SPDX-License-Identifier: MIT
#pragma once

#include "models/air/air.h"
#include "models/bore/resonator.h"
#include "models/instruments/instrument.h"
#include "models/instruments/mechanism.h"

#include <cmath>
#include <string>

namespace canebrake
{

/// Air without viscosity or heat conduction: what is left is exact.
inline Air lossless_air()
{
    Air air = moist_air({25.0}, 0.5, 4.2e-4);
    air.viscosity_pas = 1e-20;
    air.conductivity_wpmk = 1e-20;
    return air;
}

/// A resonator has a register vent; this one is shut and too small to matter (1 mm³ in a hundred thousand).
inline ToneHole no_hole(double x_m)
{
    return {"none", x_m, 0.5e-3, 0.2e-3, HoleCover::finger, 0.0};
}

inline Geometry tube(double length_m, double radius_m)
{
    return {{{0.0, radius_m}, {length_m, radius_m}}, {no_hole(0.5 * length_m)}};
}

/// With the register vent's bit where the fingering opens it.
inline HoleState all_holes(const Fingering& f)
{
    HoleState holes = f.holes;
    holes.open |= f.vent > 0.0 ? 1u << boehm_vent : 0u;
    return holes;
}

inline const Fingering& primary(const std::string& written)
{
    return *b_flat_soprano().primary({pitch_number(written).value()});
}

inline Hertz sounding(WrittenPitch written)
{
    return frequency({double(written.number + b_flat_soprano().transposition)}, {440.0});
}

/// The B♭ soprano warm from playing.
inline const Resonator& warm_soprano()
{
    static const Resonator bore(b_flat_soprano().geometry, breath_air({25.0}), boehm_vent);
    return bore;
}

/// The B♭ soprano stretched: as long as its bass and contrabass relatives at 2 and 4 times, and wider by a
/// usual share less (common practice, no source: a bass is twice as long and some 1.6 times as wide).
inline Resonator stretched_soprano(double times)
{
    const double wider = std::pow(times, 0.65);
    Geometry geometry = b_flat_soprano().geometry;
    for (auto& corner : geometry.bore) {
        corner.x_m *= times;
        corner.radius_m *= wider;
    }
    for (auto& hole : geometry.holes) {
        hole.x_m *= times;
        hole.radius_m *= wider;
        hole.chimney_m *= wider;
        hole.pad_lift_m *= wider;
    }
    return Resonator(geometry, breath_air({25.0}), boehm_vent, 7.3e-3 * wider);
}

} // namespace canebrake
