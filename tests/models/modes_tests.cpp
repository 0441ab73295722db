// SPDX-License-Identifier: MIT
#include "models/modes/mode_table.h"
#include "tests/models/plain_bores.h"

#include <catch2/catch.hpp>

#include <numbers>
#include <tuple>

using namespace canebrake;

namespace
{

constexpr double two_pi = 2.0 * std::numbers::pi;

double worst_difference(const ModeTable& a, const ModeTable& b, std::size_t modes)
{
    double worst = 0.0;
    for (std::size_t n = 0; n < modes; ++n) {
        worst = std::max(worst, std::abs(a.pole[n] - b.pole[n]) / std::abs(b.pole[n]));
        worst = std::max(worst, std::abs(a.impedance[n] - b.impedance[n]) / std::abs(b.impedance[n]));
    }
    return worst;
}

} // namespace

TEST_CASE("the modes of a lossless tube are the odd quarter-waves, and their heights 2c/L", "[modes][law]")
{
    // Z = coth(sL/c) shorted far end: poles at odd quarter-waves, residue c/L each; the open end's radiation
    // lengthens L by 0.6133 radii (Levine & Schwinger) and damps by (ka)²/4.
    const Air air = lossless_air();
    const double length = 0.6, radius = 7.3e-3, full = length + 0.6133 * radius;
    const auto table = find_modes(Resonator(tube(length, radius), air, 0), {});
    REQUIRE(table.count >= 20);
    for (std::size_t n = 0; n < 6; ++n) {
        const double quarter = (2.0 * double(n) + 1.0) * air.sound_speed_mps / (4.0 * full);
        CAPTURE(n);
        CHECK(table.mode_frequency(n) == Approx(quarter).epsilon(5e-4));
        CHECK(table.impedance[n].real() == Approx(air.sound_speed_mps / full).epsilon(2e-3));
        const double ka = two_pi * quarter * radius / air.sound_speed_mps;
        CHECK(table.pole[n].real() == Approx(-air.sound_speed_mps / full * ka * ka / 4.0).epsilon(0.02));
    }
}

TEST_CASE("the mode table of every fingering up to C6 stands for the direct impedance", "[modes][twin]")
{
    const auto& bore = warm_soprano();
    for (const auto& f : b_flat_soprano().fingerings) {
        if (!f.primary || f.written.number > 84)
            continue;
        const auto table = find_modes(bore, all_holes(f));
        const double error = table_error(bore, table);
        CAPTURE(pitch_name(f.written.number), table.count);
        CHECK(error < 0.3); // Zc up to 3.5 kHz, where peaks reach 10 to 50; measured: 0.26 on A4
        CHECK(table_error(bore, table, 1500.0, 80) < 0.15); // measured: 0.10 on F5
        for (std::size_t n = 0; n < table.count; ++n) {
            CHECK(table.pole[n].real() < 0.0);
            CHECK((n == 0 || table.pole[n].imag() > table.pole[n - 1].imag()));
        }
        CHECK(table.inertance >= 0.0);
    }
}

TEST_CASE("altissimo tables stand for the direct impedance as well", "[modes][twin]")
{
    const auto& bore = warm_soprano();
    for (const auto& f : b_flat_soprano().fingerings)
        if (f.primary && f.written.number > 84) {
            const auto table = find_modes(bore, all_holes(f));
            CAPTURE(pitch_name(f.written.number), table.count);
            CHECK(table_error(bore, table) < 0.4); // measured: 0.31 on G6
            CHECK(table_error(bore, table, 1500.0, 80) < 0.15);
        }
}

TEST_CASE("a bore of a bass's or a contrabass's length has tables as true as a soprano's", "[modes][twin]")
{
    // 64 modes of a bore twice as long reach as high as 32 of a soprano; four times as long, half as high.
    // The limits are the soprano's own for twice its length; four times it has modes to 3.8 kHz only.
    for (const auto& [times, top_hz, reach_hz] :
         {std::tuple{1.0, 3500.0, 7000.0}, {2.0, 3500.0, 7500.0}, {4.0, 1750.0, 3700.0}}) {
        const Resonator bore = stretched_soprano(times);
        const ModeSearch search{.count = times > 1.0 ? 64u : 32u};
        for (const char* written : {"E3", "B3", "F4", "A4", "Bb4", "C5", "A5", "C6"}) {
            const auto table = find_modes(bore, all_holes(primary(written)), search);
            CAPTURE(times, written, table.count);
            CHECK(table_error(bore, table, top_hz, int(120 * times)) < 0.3);
            CHECK(table.mode_frequency(table.count - 1) > reach_hz);
            for (std::size_t n = 1; n < table.count; ++n)
                CHECK(table.pole[n].imag() > table.pole[n - 1].imag());
        }
    }
}

TEST_CASE("a stretched tube without losses has its odd quarter-waves down to the lowest", "[modes][law]")
{
    // 2.8 m, as long as a contrabass: 30 Hz, below anything a soprano has.
    const Air air = lossless_air();
    const double length = 2.8, radius = 15e-3, full = length + 0.6133 * radius;
    const auto table = find_modes(Resonator(tube(length, radius), air, 0), {}, {.count = 64});
    REQUIRE(table.count == 64);
    for (std::size_t n = 0; n < 12; ++n) {
        CAPTURE(n);
        CHECK(table.mode_frequency(n) ==
              Approx((2.0 * double(n) + 1.0) * air.sound_speed_mps / (4.0 * full)).epsilon(5e-4));
    }
}

TEST_CASE("more modes asked for are the same modes and some above", "[modes][invariant]")
{
    const Resonator bore = stretched_soprano(2.0);
    const HoleState state = all_holes(primary("C4"));
    const auto few = find_modes(bore, state, {.count = 24}), many = find_modes(bore, state, {.count = 64});
    REQUIRE(few.count == 24);
    REQUIRE(many.count > 50);
    for (std::size_t n = 0; n < few.count; ++n)
        CHECK(std::abs(few.pole[n] - many.pole[n]) < 1e-9 * std::abs(many.pole[n]));
    CHECK(many.inertance < few.inertance); // what is left out is less
}

TEST_CASE("a mode's height is one over the admittance's slope at its pole", "[modes][law]")
{
    const auto& bore = warm_soprano();
    for (const char* written : {"E3", "C4", "A4", "G5", "C6"}) {
        const HoleState state = all_holes(primary(written));
        const auto table = find_modes(bore, state);
        const auto admittance = [&](Complex s) {
            const auto reed = bore.walk<Complex>(s, state).reed;
            return reed.flow / reed.pressure;
        };
        for (std::size_t n = 0; n < 8; ++n) {
            // a hole's own mode has a zero of Z close by: the step must be small beside that distance
            const Complex s = table.pole[n], h{0.0, 2e-6 * -s.real()};
            const Complex slope = (admittance(s + h) - admittance(s - h)) / (2.0 * h);
            CAPTURE(written, n);
            CHECK(std::abs(admittance(s)) < 1e-7);
            CHECK(std::abs(table.impedance[n] * slope - 1.0) < 1e-4);
        }
    }
}

TEST_CASE("the modes' radiation is what the walk says leaves the bore", "[modes][twin]")
{
    // U_out for a unit flow at the reed, on the frequency axis; at low frequency all that goes in comes out.
    const auto& bore = warm_soprano();
    for (const char* written : {"E3", "C4", "G4", "G5"}) {
        const HoleState state = all_holes(primary(written));
        const auto table = find_modes(bore, state);
        double worst = 0.0;
        for (double hz = 100.0; hz < 2500.0; hz += 25.0) {
            const Complex s{0.0, two_pi * hz};
            const auto walk = bore.walk<Complex>(s, state);
            worst = std::max(worst, std::abs(walk.radiated / walk.reed.flow - table.radiation_at(s)));
        }
        CAPTURE(written, worst);
        CHECK(worst < 0.6); // measured 0.51 at the worst; the peaks are some tens
    }
}

TEST_CASE("the modes' pressure under the shut vent is what the walk finds there", "[modes][twin]")
{
    const auto& bore = warm_soprano();
    for (const char* written : {"E3", "C4", "F4"}) {
        const HoleState state = all_holes(primary(written));
        const auto table = find_modes(bore, state);
        double worst = 0.0;
        for (double hz = 100.0; hz < 2000.0; hz += 25.0) {
            const Complex s{0.0, two_pi * hz};
            const auto walk = bore.walk<Complex>(s, state);
            Complex sum{};
            for (std::size_t n = 0; n < table.count; ++n)
                sum += table.vent[n] / (s - table.pole[n]) +
                       std::conj(table.vent[n]) / (s - std::conj(table.pole[n]));
            worst = std::max(worst, std::abs(walk.vent_pressure / walk.reed.flow - sum));
        }
        CAPTURE(written, worst);
        CHECK(worst < 0.05); // Zc, against peaks of 10 to 50; measured: 0.020
    }
}

TEST_CASE("a second register vent changes nothing but the pressure under it", "[modes][twin]")
{
    // A low clarinet has two vents; the table for the second is the first's with other D_n, and the same as
    // if the search had been made with that hole as the vent.
    const std::size_t second = 5;
    const Resonator other(b_flat_soprano().geometry, breath_air({25.0}), second);
    for (const char* written : {"E3", "C4", "F4"}) {
        HoleState state = all_holes(primary(written));
        state.open &= ~(1u << second);
        const auto first = find_modes(warm_soprano(), state);
        const auto moved = with_vent(first, second), found = find_modes(other, state);
        CHECK(moved.vent_hole == second);
        CHECK(found.vent_hole == second);
        REQUIRE(moved.count == found.count);
        CHECK(moved.pole == found.pole);
        CHECK(moved.impedance == found.impedance);
        for (std::size_t n = 0; n < found.count; ++n) {
            CAPTURE(written, n);
            CHECK(std::abs(moved.vent[n] - found.vent[n]) < 1e-9 * std::abs(found.impedance[n]));
        }
        const auto back = with_vent(moved, boehm_vent);
        for (std::size_t n = 0; n < found.count; ++n)
            CHECK(std::abs(back.vent[n] - first.vent[n]) < 1e-9 * std::abs(first.impedance[n]));
    }
}

TEST_CASE("the search for modes finds the same modes twice", "[modes][invariant]")
{
    const HoleState state = all_holes(primary("F#3"));
    const auto a = find_modes(warm_soprano(), state), b = find_modes(warm_soprano(), state);
    REQUIRE(a.count == b.count);
    CHECK(a.pole == b.pole);
    CHECK(a.impedance == b.impedance);
    CHECK(a.radiation == b.radiation);
    CHECK(a.inertance == b.inertance);
}

TEST_CASE("modes found from a neighbour's are the modes found from scratch", "[modes][twin]")
{
    const std::pair<const char*, const char*> steps[]{{"C4", "D4"},  {"E3", "F3"}, {"E3", "B4"},
                                                      {"A4", "A#4"}, {"G5", "A5"}, {"C6", "C#6"}};
    for (const auto& [from, to] : steps) {
        const HoleState state = all_holes(primary(to));
        const auto neighbour = find_modes(warm_soprano(), all_holes(primary(from)));
        const auto near = find_modes_near(warm_soprano(), state, neighbour);
        const auto scratch = find_modes(warm_soprano(), state);
        CAPTURE(from, to, near.count, scratch.count);
        REQUIRE(near.count >= 12);
        CHECK(near.state == state);
        CHECK(worst_difference(near, scratch, 10) < 1e-6);
        CHECK(table_error(warm_soprano(), near) < 0.5); // its own limit
    }
}

TEST_CASE("warmer air moves every mode by the speed of sound alone", "[modes][law]")
{
    // What lets one table serve every temperature: shapes stay, the time scale changes (losses aside).
    const auto& geometry = b_flat_soprano().geometry;
    const Air cool = breath_air({20.0}), warm = breath_air({30.0});
    const HoleState state = all_holes(primary("D4"));
    const auto a = find_modes(Resonator(geometry, cool, boehm_vent), state);
    const auto b = find_modes(Resonator(geometry, warm, boehm_vent), state);
    const double by = cents_between({warm.sound_speed_mps}, {cool.sound_speed_mps}).value;
    for (std::size_t n = 0; n < 6; ++n)
        CHECK(cents_between({b.mode_frequency(n)}, {a.mode_frequency(n)}).value == Approx(by).margin(0.6));
}
