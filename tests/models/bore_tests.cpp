// SPDX-License-Identifier: MIT
#include "models/bore/radiation.h"
#include "models/bore/resonator.h"
#include "tests/models/plain_bores.h"

#include <catch2/catch.hpp>

#include <numbers>

using namespace canebrake;

namespace
{

constexpr double two_pi = 2.0 * std::numbers::pi;

/// Highest |Z| between two frequencies, to a hundredth of a hertz or better.
double peak_between(const Resonator& bore, HoleState state, double low, double high)
{
    const auto height = [&](double hz) { return std::abs(bore.impedance(hz, state)); };
    const int steps = 400;
    double best = low;
    for (int i = 0; i <= steps; ++i) {
        const double hz = low + (high - low) * i / steps;
        if (height(hz) > height(best))
            best = hz;
    }
    double a = best - (high - low) / steps, b = best + (high - low) / steps;
    while (b - a > 1e-4) {
        const double third = (b - a) / 3.0;
        (height(a + third) < height(b - third) ? a : b) +=
            height(a + third) < height(b - third) ? third : -third;
    }
    return 0.5 * (a + b);
}

double cents(double to, double from)
{
    return cents_between({to}, {from}).value;
}

/// |R| and end length over radius of a pipe's open end by the wide-band fit of F. Silva et al., JSV 322
/// (2009) 255, unflanged; quoted through open wind-acoustics code.
std::pair<double, double> silva_wide_band(double ka)
{
    const double x = ka * ka;
    const double reflection = (1.0 + 0.8 * x) / (1.0 + 1.3 * x + 0.266 * x * x + 0.0263 * x * x * x);
    const double length =
        0.6133 * (1.0 + 0.0599 * x) / (1.0 + 0.238 * x - 0.0153 * x * x + 0.0015 * x * x * x);
    return {reflection, length};
}

} // namespace

TEST_CASE("a tube closed at the reed sounds the odd quarter-waves", "[bore][law]")
{
    const double length = 0.6, radius = 7.3e-3;
    const Air air = lossless_air();
    const Resonator bore(tube(length, radius), air, 0);
    // Levine & Schwinger 1948: the open end adds 0.6133 radii.
    const double quarter = air.sound_speed_mps / (4.0 * (length + 0.6133 * radius));
    for (const int odd : {1, 3, 5, 7, 9}) {
        const double peak = peak_between(bore, {}, (odd - 0.5) * quarter, (odd + 0.5) * quarter);
        CAPTURE(odd);
        CHECK(std::abs(cents(peak, odd * quarter)) <
              0.6); // the fit's 0.613 and the end's slow change with ka
    }
    // Between them, at the half-waves, the tube is nearly a short circuit.
    CHECK(std::abs(bore.impedance(2.0 * quarter, {})) < 1e-3);
}

TEST_CASE("wall loss flattens a tube and broadens its peaks", "[bore][law]")
{
    const Resonator real(tube(0.6, 7.3e-3), moist_air({25.0}, 0.5, 4.2e-4), 0);
    const Resonator ideal(tube(0.6, 7.3e-3), lossless_air(), 0);
    const double flat = cents(peak_between(real, {}, 100.0, 200.0), peak_between(ideal, {}, 100.0, 200.0));
    // Phase velocity 0.980 of free air near 140 Hz makes 34 cents.
    CHECK(flat == Approx(-34.0).margin(3.0));
    // Peak height of a lossy tube: 1/tanh(αL), less radiation; α(142 Hz) = 0.0495 1/m.
    const double hz = peak_between(real, {}, 100.0, 200.0);
    CHECK(std::abs(real.impedance(hz, {})) == Approx(1.0 / std::tanh(0.0495 * 0.6)).epsilon(0.05));
}

TEST_CASE("an open end adds 0.6133 radii free and 0.8216 radii in a wall", "[bore][outside]")
{
    // Dalmont, Nederveen & Joly, JSV 244 (2001) 505, first page; resistance (ka)²/4 and (ka)²/2.
    const double ka = 0.01;
    const Complex free_end = radiation_impedance(unflanged, Complex{0.0, ka});
    const Complex in_wall = radiation_impedance(flanged, Complex{0.0, ka});
    CHECK(free_end.imag() / ka == Approx(0.6133).margin(0.001));
    CHECK(in_wall.imag() / ka == Approx(0.8216).margin(0.001));
    CHECK(free_end.real() == Approx(ka * ka / 4.0).epsilon(0.005));
    CHECK(in_wall.real() == Approx(ka * ka / 2.0).epsilon(0.005));
}

TEST_CASE("an open end reflects as the wide-band formula up to ka = 1.5", "[bore][outside]")
{
    for (const double ka : {0.1, 0.3, 0.6, 1.0, 1.5}) {
        const Complex z = radiation_impedance(unflanged, Complex{0.0, ka});
        const Complex reflection = (z - 1.0) / (z + 1.0); // −|R| e^(−2jkL)
        const auto [size, length] = silva_wide_band(ka);
        CAPTURE(ka);
        CHECK(std::abs(reflection) == Approx(size).margin(0.02));
        CHECK(-std::arg(-reflection) / (2.0 * ka) == Approx(length).margin(0.03));
    }
    for (double ka = 0.0; ka < 20.0; ka += 0.1)
        CHECK(radiation_impedance(unflanged, Complex{0.0, ka}).real() >= 0.0);
}

TEST_CASE("a cone carries two fields with determinant one", "[bore][law]")
{
    // p1 u2 − p2 u1 is the same at both ends of any passive reciprocal piece. Two fields: a hole near the
    // bell open and shut. Between it and the reed: a cone, a step, a tube, an open hole.
    const Geometry horn{
        {{0.0, 6.0e-3}, {0.15, 9.0e-3}, {0.15, 8.0e-3}, {0.3, 8.0e-3}, {0.5, 12.0e-3}, {0.6, 20.0e-3}},
        {{"open above", 0.2, 3.0e-3, 7.0e-3, HoleCover::finger, 0.0},
         {"changed", 0.5, 5.0e-3, 5.0e-3, HoleCover::pad, 3.0e-3}}};
    const Resonator bore(horn, moist_air({25.0}, 0.5, 4.2e-4), 0);
    std::vector<HoleField> shut(2), open(2);
    for (const Complex s : {Complex{0.0, two_pi * 200.0}, Complex{-80.0, two_pi * 930.0},
                            Complex{-300.0, two_pi * 3100.0}, Complex{50.0, 400.0}}) {
        const auto a = bore.walk_with_holes(s, {.open = 1}, shut);
        const auto b = bore.walk_with_holes(s, {.open = 3}, open);
        const auto pair = [](const Field<Complex>& p, const Field<Complex>& q) {
            return p.pressure * q.flow - q.pressure * p.flow;
        };
        const Complex at_hole = pair(shut[1].reed_side, open[1].reed_side);
        const Complex at_reed = b.reed.flow / b.reed.pressure - a.reed.flow / a.reed.pressure;
        CHECK(std::abs(at_reed / at_hole - 1.0) < 1e-9);
    }
}

TEST_CASE("a cone split in many slices is the same cone", "[bore][twin]")
{
    Geometry whole{{{0.0, 6.0e-3}, {0.5, 14.0e-3}}, {no_hole(0.25)}};
    Geometry pieces = whole;
    pieces.bore.clear();
    for (int i = 0; i <= 50; ++i)
        pieces.bore.push_back({0.01 * i, 6.0e-3 + 8.0e-3 * i / 50.0});
    const Resonator a(whole, lossless_air(), 0), b(pieces, lossless_air(), 0);
    for (const double hz : {80.0, 333.0, 1234.0, 4000.0})
        CHECK(std::abs(a.impedance(hz, {}) / b.impedance(hz, {}) - 1.0) < 1e-6);
}

TEST_CASE("a cone sounds all harmonics of its length to the apex", "[bore][law]")
{
    // Nearly complete cone, lossless: pressure antinode at the blown end as in a saxophone or oboe; the
    // resonances solve tan(kL) = −k x1, which nears n half-waves of the full length.
    const double x1 = 0.02, full = 0.62;
    const Air air = lossless_air();
    const Resonator bore({{{0.0, 1.0e-3}, {full - x1, 31.0e-3}}, {no_hole(0.3)}}, air, 0);
    const double half = air.sound_speed_mps / (2.0 * (full + 0.6133 * 31.0e-3));
    for (const int n : {1, 2, 3})
        CHECK(std::abs(cents(peak_between(bore, {}, (n - 0.4) * half, (n + 0.4) * half), n * half)) < 10.0);
}

TEST_CASE("a passive bore never gives energy at the reed", "[bore][invariant]")
{
    const auto& bore = warm_soprano();
    double least = 1e9;
    for (const auto& f : b_flat_soprano().fingerings)
        for (double hz = 25.0; hz < 9000.0; hz *= 1.011)
            least = std::min(least, bore.impedance(hz, all_holes(f)).real());
    CAPTURE(least);
    CHECK(least >= 0.0);
}

TEST_CASE("without wall loss, the power that enters at the reed leaves through the bell and the hole",
          "[bore][law]")
{
    Geometry horn = tube(0.55, 7.3e-3);
    horn.bore.push_back({0.65, 25.0e-3});
    horn.holes = {{"hole", 0.4, 4.5e-3, 8.0e-3, HoleCover::finger, 0.0}};
    const Air air = lossless_air();
    const Resonator bore(horn, air, 0);
    const auto radiated_share = [&](const RadiationFit& fit, double radius_m, Complex s) {
        const double area = std::numbers::pi * radius_m * radius_m;
        return (bore.reference_area_m2() / area *
                radiation_impedance(fit, radius_m * s / air.sound_speed_mps))
            .real();
    };
    for (const double hz : {140.0, 500.0, 1100.0, 2300.0}) {
        const Complex s{0.0, two_pi * hz};
        for (const std::uint32_t open : {0u, 1u}) {
            const auto walk = bore.walk<Complex>(s, {.open = open}); // bell flow 1, so the rest is the hole's
            const double enters = (walk.reed.pressure * std::conj(walk.reed.flow)).real();
            const double leaves = radiated_share(unflanged, 25.0e-3, s) +
                                  radiated_share(flanged, 4.5e-3, s) * std::norm(walk.radiated - 1.0);
            CAPTURE(hz, open);
            CHECK(enters == Approx(leaves).epsilon(2e-5));
            CHECK((std::abs(walk.radiated - 1.0) > 1e-12) == (open == 1u));
        }
    }
}

TEST_CASE("a half-open hole lies between shut and open", "[bore][limit]")
{
    Geometry pipe = tube(0.5, 7.3e-3);
    pipe.holes = {{"hole", 0.35, 4.0e-3, 8.0e-3, HoleCover::finger, 0.0}};
    const Resonator bore(pipe, moist_air({25.0}, 0.5, 4.2e-4), 0);
    const double shut = peak_between(bore, {}, 100.0, 260.0);
    const double half = peak_between(bore, {.open = 1, .half = 1}, 100.0, 260.0);
    const double open = peak_between(bore, {.open = 1}, 100.0, 260.0);
    CAPTURE(shut, half, open);
    CHECK(half > shut + 5.0);
    CHECK(half < open - 5.0);
}

TEST_CASE("a shut hole adds its volume and a wide open hole ends the tube", "[bore][limit]")
{
    const Air air = lossless_air();
    const double a = 7.3e-3, length = 0.5;
    // Near the closed end a shut hole is a volume V at a pressure antinode: cot(kL) = kV/S.
    Geometry shut = tube(length, a);
    shut.holes = {{"hole", 1.0e-3, 3.0e-3, 6.0e-3, HoleCover::finger, 0.0}};
    const double plain = peak_between(Resonator(tube(length, a), air, 0), {}, 120.0, 220.0);
    const double with = peak_between(Resonator(shut, air, 0), {}, 120.0, 220.0);
    const double longer = 3.0e-3 * 3.0e-3 / (a * a) * 6.0e-3; // hole's volume over the bore's section
    CHECK(cents(with, plain) ==
          Approx(-1200.0 * std::log2(1.0 + longer / (length + 0.6133 * a))).epsilon(0.25));
    // A hole as wide as the bore with hardly a chimney: nearly the tube cut there, an end correction added.
    Geometry wide = tube(length, a);
    wide.holes = {{"hole", 0.3, 7.0e-3, 0.5e-3, HoleCover::finger, 0.0}};
    const double cut = air.sound_speed_mps / (4.0 * (0.3 + 0.6133 * a));
    const double vented = peak_between(Resonator(wide, air, 0), {.open = 1}, 200.0, 330.0);
    CHECK(cents(vented, cut) < 0.0);
    CHECK(cents(vented, cut) > -60.0);
}

TEST_CASE("a pad over an open hole flattens it, and lifts out of the way", "[bore][limit]")
{
    const auto pitch = [](double lift_m) {
        Geometry pipe = tube(0.5, 7.3e-3);
        pipe.holes = {{"pad", 0.35, 4.0e-3, 6.0e-3, HoleCover::pad, lift_m}};
        return peak_between(Resonator(pipe, lossless_air(), 0), {.open = 1}, 120.0, 300.0);
    };
    CHECK(pitch(1.0e-3) < pitch(2.5e-3));
    CHECK(pitch(2.5e-3) < pitch(0.0));
    // A third of the hole's diameter is enough (makers' rule, general keywork pages): within 12 cents.
    CHECK(cents(pitch(8.0e-3 / 3.0), pitch(0.0)) > -12.0);
}

TEST_CASE("the exact slope of the walk equals a difference quotient", "[bore][twin]")
{
    const auto& bore = warm_soprano();
    const HoleState state = all_holes(primary("A5"));
    for (const Complex s : {Complex{-60.0, 5000.0}, Complex{-200.0, 14000.0}}) {
        const auto reed = bore.walk<Dual>(s, state).reed;
        const double h = 0.01;
        const auto up = bore.walk<Complex>(s + h, state).reed, down = bore.walk<Complex>(s - h, state).reed;
        CHECK(std::abs(reed.flow.d / ((up.flow - down.flow) / (2.0 * h)) - 1.0) < 1e-6);
        CHECK(std::abs(reed.pressure.d / ((up.pressure - down.pressure) / (2.0 * h)) - 1.0) < 1e-6);
        CHECK(std::abs(reed.flow.v / bore.walk<Complex>(s, state).reed.flow - 1.0) < 1e-12);
    }
}
