// SPDX-License-Identifier: MIT
#pragma once

#include "models/air/air.h"
#include "models/bore/dual.h"
#include "models/bore/geometry.h"
#include "models/bore/wall_loss.h"

#include <span>
#include <vector>

namespace canebrake
{

/// Pressure and volume flow (towards the bell) at a place in the bore. Pressure is in units of Zc times flow,
/// with Zc = ρc/(π r²) of the reference radius, so that impedances come out as pure numbers.
template <class T> struct Field {
    T pressure;
    T flow;
};

/// Field on both sides of a hole.
struct HoleField {
    Field<Complex> reed_side;
    Field<Complex> bell_side;
    Complex under_hole; ///< pressure at the foot of the chimney
};

/// What a length of tube does to the field at its bell end, to give the field at its reed end:
/// p' = a p + b u, u' = c p + d u.
template <class T> struct Transfer {
    T a, b, c, d;
};

/// A hole: a series mass on each side of a shunt.
template <class T> struct HolePass {
    T series;     ///< impedance of one half
    T admittance; ///< of the chimney, at its foot
    T out;        ///< flow that leaves at its outer end, over the pressure at its foot; 0: shut
};

/// A bore at one frequency, taken apart at its holes: all that does not depend on which are open is done.
struct BoreAt {
    Complex s;
    Complex bell; ///< impedance of its rim
    std::vector<Transfer<Complex>>
        tubes; ///< [h]: from hole h to the next towards the reed; last: from the bell
    std::vector<HolePass<Complex>> shut, open; ///< each hole
};

/// What one walk from bell to reed finds, for a bell flow of 1.
template <class T> struct Walk {
    Field<T> reed;   ///< impedance seen by the reed = pressure / flow
    T radiated;      ///< sum of the flows that leave through open holes and the bell
    T vent_pressure; ///< pressure under the register vent
};

/// A bore with its holes in some air, ready to be asked at any complex frequency. Transmission matrices of
/// lossy cones (spherical waves, wall loss of the mean radius), holes as T-sections (series mass each side of
/// a shunt), radiation at each opening; all analytic in s. Left out: interaction of neighbouring holes
/// outside the tube, curved wave fronts beyond the cone's, wall vibration, temperature profile. Cost: about
/// 10 µs a frequency for 60 slices and 24 holes.
class Resonator
{
public:
    /// `vent`: index of the register hole, whose pressure a walk reports.
    Resonator(const Geometry&, const Air&, std::size_t vent, double reference_radius_m = 7.3e-3);

    template <class T> Walk<T> walk(Complex s, HoleState) const;

    /// The same for many states at one frequency: `at` takes as long as a walk and a half, the walks from it
    /// a fifteenth of one.
    BoreAt at(Complex s) const;
    Walk<Complex> walk(const BoreAt&, HoleState) const;
    /// As walk, and the field at every hole (one entry each, in the order of Geometry::holes), scaled to a
    /// pressure of 1 at the reed.
    template <class T = Complex> Walk<T> walk_with_holes(Complex s, HoleState, std::span<HoleField>) const;

    /// Input impedance over Zc at a real frequency.
    Complex impedance(double frequency_hz, HoleState) const;

    const Geometry& geometry() const { return geometry_; }
    const Air& air() const { return air_; }
    std::size_t vent() const { return vent_; }
    double reference_area_m2() const { return reference_area_; }
    double characteristic_impedance() const; ///< Pa·s/m³

private:
    struct Slice {
        double length, r1, r2, mean_radius;
    };
    struct HoleModel {
        double area_ratio;   // reference area over hole area: Zc of the hole in our unit
        double inner_length; // t_i
        double line_length;  // t + t_m
        double radius;
        double outer_correction;           // pad's and wall's change of the outer length
        double series_open, series_closed; // half of t_a times area ratio of the bore
    };
    /// What depends on the frequency alone: s/c, its inverse, 1/√s.
    template <class T> struct Frequency {
        T wave, over_wave, root;
    };
    template <class T> Frequency<T> frequency(Complex s) const;
    template <class T> Field<T> bell(const Frequency<T>&) const;
    template <class T> Transfer<T> slice_transfer(const Slice&, const Frequency<T>&) const;
    template <class T>
    HolePass<T> hole_pass(const HoleModel&, bool open, double area, const Frequency<T>&) const;
    template <class T> Walk<T> walk_all(Complex s, HoleState, HoleField* fields) const;

    Geometry geometry_;
    Air air_;
    WallLoss loss_;
    std::size_t vent_;
    double reference_area_;
    std::vector<Slice> slices_;           // from the tip to the bell
    std::vector<std::size_t> hole_after_; // slice index whose bell end carries hole i
    std::vector<HoleModel> holes_;
};

} // namespace canebrake
