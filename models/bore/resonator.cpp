// SPDX-License-Identifier: MIT
#include "models/bore/resonator.h"

#include "models/bore/radiation.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

namespace canebrake
{

namespace
{

constexpr double pi = std::numbers::pi;

/// Volume between the flat foot of the chimney and the curved bore wall, as a length (Nederveen et al. 1998,
/// eq. 37).
double matching_length(double b, double delta)
{
    return b * delta / 8.0 * (1.0 + 0.207 * delta * delta * delta);
}

/// Inner length correction of the shunt, Dubos et al. 1999 as in Chaigne & Kergomard (2016).
double inner_length(double b, double delta)
{
    return b * (0.82 + delta * (-0.193 + delta * (-1.09 + delta * (1.27 - 0.71 * delta))));
}

/// Series length, open hole: Dubos et al. 1999. Closed: Lefebvre & Scavone, JASA 131 (2012) 3153, eq. 34.
double series_length_open(double b, double delta)
{
    return b * (-0.37 + 0.087 * delta) * delta * delta;
}
double series_length_closed(double b, double t, double delta, HoleCover cover)
{
    const double fill = std::tanh(2.4 * t / b);
    const double factor = cover == HoleCover::finger ? -0.2 - 0.1 * fill : -0.12 - 0.17 * fill;
    return factor * b * delta * delta;
}

/// Change of the outer end's length by the round wall and by a pad that hangs over the hole:
/// Dalmont, Nederveen, Joly, JSV 244 (2001) 505, eq. 48, 51, 52.
double outer_correction(const ToneHole& hole, double bore_radius)
{
    const double b = hole.radius_m;
    double length = -0.47 * b * std::pow(b / (bore_radius + hole.chimney_m), 0.8);
    if (hole.pad_lift_m > 0.0) {
        const double h = hole.pad_lift_m / b;
        const double wall = 0.5; // chimney wall over hole radius
        const double pad = (1.0 + wall);
        length +=
            b / (3.5 * std::pow(h, 0.8) * std::pow(h + 3.0 * wall, -0.4) + 30.0 * std::pow(h / pad, 2.6));
    }
    return length;
}

} // namespace

double Geometry::radius_at(double x_m) const
{
    for (std::size_t i = 1; i < bore.size(); ++i)
        if (x_m <= bore[i].x_m) {
            const auto& [x0, r0] = bore[i - 1];
            const auto& [x1, r1] = bore[i];
            return x1 > x0 ? r0 + (r1 - r0) * (x_m - x0) / (x1 - x0) : r1;
        }
    return bore.back().radius_m;
}

Resonator::Resonator(const Geometry& geometry, const Air& air, std::size_t vent, double reference_radius_m)
    : geometry_(geometry), air_(air), loss_(air), vent_(vent),
      reference_area_(pi * reference_radius_m * reference_radius_m)
{
    assert(vent < geometry.holes.size() && geometry.holes.size() <= 32);
    std::vector<double> cuts;
    for (const auto& hole : geometry_.holes)
        cuts.push_back(hole.x_m);
    std::size_t next_hole = 0;
    for (std::size_t i = 1; i < geometry_.bore.size(); ++i) {
        double x = geometry_.bore[i - 1].x_m, r = geometry_.bore[i - 1].radius_m;
        const auto [x1, r1] = geometry_.bore[i];
        const auto slice_to = [&](double to, double radius) {
            if (to > x)
                slices_.push_back({to - x, r, radius, 0.5 * (r + radius)});
            x = to;
            r = radius;
        };
        while (next_hole < cuts.size() && cuts[next_hole] <= x1) {
            const double at = cuts[next_hole];
            slice_to(at, r + (x1 > x ? (r1 - r) * (at - x) / (x1 - x) : 0.0));
            hole_after_.push_back(slices_.size() - 1);
            ++next_hole;
        }
        slice_to(x1, r1);
    }
    for (const auto& hole : geometry_.holes) {
        const double a = geometry_.radius_at(hole.x_m);
        const double b = hole.radius_m;
        const double delta = b / a;
        const double bore_ratio = reference_area_ / (pi * a * a);
        HoleModel model{};
        model.area_ratio = reference_area_ / (pi * b * b);
        model.inner_length = inner_length(b, delta);
        model.line_length = hole.chimney_m + matching_length(b, delta);
        model.radius = b;
        model.outer_correction = outer_correction(hole, a);
        model.series_open = 0.5 * bore_ratio * series_length_open(b, delta);
        model.series_closed = 0.5 * bore_ratio * series_length_closed(b, hole.chimney_m, delta, hole.cover);
        holes_.push_back(model);
    }
}

double Resonator::characteristic_impedance() const
{
    return air_.density_kgpm3 * air_.sound_speed_mps / reference_area_;
}

namespace
{

template <class T> void pass(const Transfer<T>& tube, Field<T>& at)
{
    const T pressure = tube.a * at.pressure + tube.b * at.flow;
    at.flow = tube.c * at.pressure + tube.d * at.flow;
    at.pressure = pressure;
}

/// From a hole's bell side to its reed side; returns the pressure at the chimney's foot.
template <class T> T pass(const HolePass<T>& hole, Field<T>& at)
{
    const T under = at.pressure + hole.series * at.flow;
    at.flow = at.flow + hole.admittance * under;
    at.pressure = under + hole.series * at.flow;
    return under;
}

} // namespace

template <class T> Resonator::Frequency<T> Resonator::frequency(Complex s) const
{
    const T variable = frequency_variable<T>(s);
    const T wave = (1.0 / air_.sound_speed_mps) * variable;
    return {wave, T(1.0) / wave, T(1.0) / plain_sqrt(variable)};
}

template <class T> Field<T> Resonator::bell(const Frequency<T>& at) const
{
    const double rim = geometry_.bore.back().radius_m;
    return {(reference_area_ / (pi * rim * rim)) * radiation_impedance(unflanged, rim * at.wave), T(1.0)};
}

/// One cone from its bell end to its reed end. With f = x·p of the spherical wave and x counted from the
/// apex,
///   f1 = f2 cosh ΓL − f2' sinh ΓL / Γ,   f1' = f2' cosh ΓL − Γ f2 sinh ΓL,   p' = −Zv u,
/// solved for p1 and u1. Zv is mass = (s/c) Fv in our unit, Γ = (s/c) √(Fv Ft): Zv/Γ = Fv/√(Fv Ft).
template <class T> Transfer<T> Resonator::slice_transfer(const Slice& slice, const Frequency<T>& at) const
{
    const T fv = loss_.series(slice.mean_radius, at.root);
    const T ft = loss_.shunt(slice.mean_radius, at.root);
    const T root = plain_sqrt(fv * ft); // Re(fv ft) stays near 1: no branch to choose
    const T over_root = T(1.0) / root;
    const T gamma = at.wave * root;
    const T forward = plain_exp(slice.length * gamma);
    const T backward = T(1.0) / forward;
    const T cosh = 0.5 * (forward + backward);
    const T sinh = 0.5 * (forward - backward);
    const double s1 = reference_area_ / (pi * slice.r1 * slice.r1);
    if (std::abs(slice.r2 - slice.r1) < 1e-9) {
        const T over = over_root * sinh;
        return {cosh, s1 * (fv * over), (1.0 / s1) * (ft * over), cosh};
    }
    const double x1 = slice.r1 * slice.length / (slice.r2 - slice.r1);
    const double x2 = x1 + slice.length;
    const double s2 = reference_area_ / (pi * slice.r2 * slice.r2);
    const T over_root_sinh = over_root * sinh;
    const T reach = at.over_wave * over_root_sinh; // sinh ΓL / Γ
    const T over_mass = at.over_wave * (ft * (over_root * over_root));
    const T a = (x2 / x1) * cosh - (1.0 / x1) * reach;
    const T b = (x2 * s2 / x1) * (fv * over_root_sinh);
    const T c = (1.0 / (x1 * s1)) *
                (over_mass * ((slice.length / x1) * cosh - (1.0 / x1) * reach + x2 * (gamma * sinh)));
    const T d = (x2 * s2 / (x1 * s1)) * (cosh + (1.0 / x1) * reach);
    return {a, b, c, d};
}

template <class T>
HolePass<T> Resonator::hole_pass(const HoleModel& hole, bool open, double area_open,
                                 const Frequency<T>& at) const
{
    const T fv = loss_.series(hole.radius, at.root);
    const T ft = loss_.shunt(hole.radius, at.root);
    const T root = plain_sqrt(fv * ft);
    const T gamma = at.wave * root;
    const T zc = hole.area_ratio * (root / ft);
    const T forward = plain_exp(hole.line_length * gamma);
    const T backward = T(1.0) / forward;
    const T cosh = 0.5 * (forward + backward);
    const T sinh = 0.5 * (forward - backward);
    const T inner = (hole.area_ratio * hole.inner_length) * at.wave;
    HolePass<T> pass{(open ? hole.series_open : hole.series_closed) * at.wave, T(0.0), T(0.0)};
    if (!open) { // 1 / (inner + zc coth)
        pass.admittance = sinh / (inner * sinh + zc * cosh);
        return pass;
    }
    T end = hole.area_ratio *
            (radiation_impedance(flanged, hole.radius * at.wave) + hole.outer_correction * at.wave);
    if (area_open < 1.0) {
        // A finger over part of the hole: the flow squeezes through a smaller round opening, with the
        // mass of one end correction on each of its sides.
        const double b = hole.radius * std::sqrt(area_open);
        end = end + (hole.area_ratio / area_open * 2.0 * 0.82 * b * (1.0 - std::sqrt(area_open))) * at.wave;
    }
    // Chimney as a line loaded by `end`: pressure at its foot P = end cosh + zc sinh, flow U = cosh + end
    // sinh / zc for a unit flow out; admittance U / (inner U + P), out 1 / (inner U + P), here times zc.
    const T foot_flow = zc * cosh + sinh * end;
    const T over = T(1.0) / (inner * foot_flow + zc * (cosh * end + zc * sinh));
    pass.admittance = foot_flow * over;
    pass.out = zc * over;
    return pass;
}

template <class T> Walk<T> Resonator::walk_all(Complex s, HoleState state, HoleField* fields) const
{
    const auto here = frequency<T>(s);
    Field<T> at = bell(here);
    T radiated(1.0), vent_pressure(0.0);
    std::size_t hole = holes_.size();
    for (std::size_t i = slices_.size(); i-- > 0;) {
        while (hole > 0 && hole_after_[hole - 1] == i) {
            --hole;
            const bool open = (state.open >> hole) & 1u;
            const double area = ((state.half >> hole) & 1u) ? half_hole_area : 1.0;
            const auto through = hole_pass(holes_[hole], open, area, here);
            const Field<T> before = at;
            const T under = pass(through, at);
            if (open)
                radiated = radiated + through.out * under;
            if (hole == vent_)
                vent_pressure = under;
            if (fields) {
                if constexpr (std::is_same_v<T, Complex>)
                    fields[hole] = {at, before, under};
                else
                    fields[hole] = {{at.pressure.v, at.flow.v}, {before.pressure.v, before.flow.v}, under.v};
            }
        }
        pass(slice_transfer(slices_[i], here), at);
    }
    return {at, radiated, vent_pressure};
}

BoreAt Resonator::at(Complex s) const
{
    const auto here = frequency<Complex>(s);
    BoreAt result{s, bell(here).pressure, {}, {}, {}};
    result.tubes.assign(holes_.size() + 1, {1.0, 0.0, 0.0, 1.0});
    std::size_t hole = holes_.size();
    for (std::size_t i = slices_.size(); i-- > 0;) {
        while (hole > 0 && hole_after_[hole - 1] == i)
            --hole;
        const auto sofar = result.tubes[hole], slice = slice_transfer(slices_[i], here);
        result.tubes[hole] = {slice.a * sofar.a + slice.b * sofar.c, slice.a * sofar.b + slice.b * sofar.d,
                              slice.c * sofar.a + slice.d * sofar.c, slice.c * sofar.b + slice.d * sofar.d};
    }
    for (const HoleModel& model : holes_) {
        result.shut.push_back(hole_pass(model, false, 1.0, here));
        result.open.push_back(hole_pass(model, true, 1.0, here));
    }
    return result;
}

Walk<Complex> Resonator::walk(const BoreAt& bore, HoleState state) const
{
    Field<Complex> at{bore.bell, 1.0};
    Complex radiated(1.0), vent_pressure(0.0);
    pass(bore.tubes.back(), at);
    for (std::size_t hole = holes_.size(); hole-- > 0;) {
        const bool open = (state.open >> hole) & 1u;
        const bool half = open && ((state.half >> hole) & 1u);
        const auto through = half ? hole_pass(holes_[hole], true, half_hole_area, frequency<Complex>(bore.s))
                                  : (open ? bore.open : bore.shut)[hole];
        const Complex under = pass(through, at);
        radiated += through.out * under;
        if (hole == vent_)
            vent_pressure = under;
        pass(bore.tubes[hole], at);
    }
    return {at, radiated, vent_pressure};
}

template <class T> Walk<T> Resonator::walk(Complex s, HoleState state) const
{
    return walk_all<T>(s, state, nullptr);
}
template Walk<Complex> Resonator::walk<Complex>(Complex, HoleState) const;
template Walk<Dual> Resonator::walk<Dual>(Complex, HoleState) const;

template <class T>
Walk<T> Resonator::walk_with_holes(Complex s, HoleState state, std::span<HoleField> fields) const
{
    assert(fields.size() == holes_.size());
    const auto result = walk_all<T>(s, state, fields.data());
    Complex scale;
    if constexpr (std::is_same_v<T, Complex>)
        scale = 1.0 / result.reed.pressure;
    else
        scale = 1.0 / result.reed.pressure.v;
    for (auto& field : fields) {
        for (auto* side : {&field.reed_side, &field.bell_side}) {
            side->pressure *= scale;
            side->flow *= scale;
        }
        field.under_hole *= scale;
    }
    return result;
}

template Walk<Complex> Resonator::walk_with_holes<Complex>(Complex, HoleState, std::span<HoleField>) const;
template Walk<Dual> Resonator::walk_with_holes<Dual>(Complex, HoleState, std::span<HoleField>) const;

Complex Resonator::impedance(double frequency_hz, HoleState state) const
{
    const auto reed = walk<Complex>({0.0, 2.0 * pi * frequency_hz}, state).reed;
    return reed.pressure / reed.flow;
}

} // namespace canebrake
