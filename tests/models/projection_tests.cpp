// SPDX-License-Identifier: MIT
#include "models/modes/mode_table.h"
#include "tests/models/plain_bores.h"

#include <catch2/catch.hpp>

#include <map>
#include <numbers>
#include <random>

using namespace canebrake;

namespace
{

using ModeField = std::array<Complex, max_modes>;

ModeField carry(const Projection& p, const ModeField& z)
{
    ModeField out{};
    for (std::size_t b = 0; b < p.rows; ++b)
        for (std::size_t a = 0; a < p.columns; ++a)
            out[b] += p.direct[b][a] * z[a] + p.conjugate[b][a] * std::conj(z[a]);
    return out;
}

const ModeTable& table(const std::string& written)
{
    static std::map<std::string, ModeTable> known;
    const auto [at, fresh] = known.try_emplace(written);
    if (fresh)
        at->second = find_modes(warm_soprano(), all_holes(primary(written)));
    return at->second;
}

/// Energy stored in modes: d|z|²/dt of a lossless mode fed by u is C·u·p, so Σ |z|²/C is the energy.
double energy(const ModeTable& t, const ModeField& z, std::size_t modes = max_modes)
{
    double sum = 0.0;
    for (std::size_t n = 0; n < std::min(modes, t.count); ++n)
        sum += std::norm(z[n]) / std::abs(t.impedance[n]);
    return sum;
}

struct Worst {
    double gain = 0.0, least = 1e9;
};

/// Energy after over energy before, for fields of the lowest modes in random phases.
Worst energy_ratio(const std::string& from, const std::string& to, std::size_t modes)
{
    const auto p = project(table(from), table(to));
    std::mt19937 random(3);
    std::normal_distribution<double> normal;
    Worst worst;
    for (int i = 0; i < 300; ++i) {
        ModeField z{};
        for (std::size_t n = 0; n < modes; ++n)
            z[n] = Complex{normal(random), normal(random)} / double(n + 1);
        const double ratio = energy(table(to), carry(p, z)) / energy(table(from), z);
        worst.gain = std::max(worst.gain, ratio);
        worst.least = std::min(worst.least, ratio);
    }
    return worst;
}

} // namespace

TEST_CASE("a state of the holes projects on itself as it is", "[projection][invariant]")
{
    const auto p = project(table("C4"), table("C4"));
    REQUIRE(p.rows == table("C4").count);
    for (std::size_t b = 0; b < p.rows; ++b)
        for (std::size_t a = 0; a < p.columns; ++a) {
            CHECK(p.direct[b][a] == (a == b ? Complex{1.0, 0.0} : Complex{0.0, 0.0}));
            CHECK(p.conjugate[b][a] == Complex{0.0, 0.0});
        }
}

TEST_CASE("the reed hears a hole change only when sound has come from it", "[projection][law]")
{
    // The old modes and the new must give the same reed pressure until t = distance / c, and then part.
    struct Step {
        const char *from, *to;
        std::size_t first_changed;
    };
    for (const auto& [from, to, hole] :
         {Step{"C4", "D4", 13}, {"D4", "C4", 13}, {"E3", "F3", 23}, {"F3", "E3", 23}, {"G5", "A5", 13}}) {
        const auto& before = table(from);
        const auto& after = table(to);
        const auto p = project(before, after);
        const double arrival =
            b_flat_soprano().geometry.holes[hole].x_m / warm_soprano().air().sound_speed_mps;
        for (std::size_t n = 0; n < 2; ++n)
            for (int phase = 0; phase < 8; ++phase) {
                ModeField z{};
                z[n] = std::polar(0.5, phase * std::numbers::pi / 4.0);
                const ModeField jumped = carry(p, z);
                const auto reed = [](const ModeTable& t, const ModeField& field, double s) {
                    double sum = 0.0;
                    for (std::size_t m = 0; m < t.count; ++m)
                        sum += 2.0 * (field[m] * std::exp(t.pole[m] * s)).real();
                    return sum;
                };
                double early = 0.0, late = 0.0;
                for (int i = 0; i <= 60; ++i) {
                    const double t = arrival * i / 20.0;
                    const double apart = std::abs(reed(after, jumped, t) - reed(before, z, t));
                    double& worst = i <= 17 ? early : late;
                    worst = std::max(worst, apart);
                }
                CAPTURE(from, to, n, phase, early, late);
                CHECK(early < 0.04); // of a field of 1; measured: 0.025
                CHECK(late > 0.05);
            }
    }
}

TEST_CASE("a field that goes to a neighbour note and back is nearly what it was", "[projection][limit]")
{
    // Forgotten on the way: the air of the holes that changed (twice), modes above the table's end, and the
    // steady stream round through two open holes, which is no ringing mode.
    const std::pair<const char*, const char*> steps[]{{"C4", "D4"}, {"E3", "F3"}, {"G4", "A4"}, {"G5", "A5"}};
    for (const auto& [one, two] : steps) {
        const auto there = project(table(one), table(two)), back = project(table(two), table(one));
        for (std::size_t n = 0; n < 2; ++n) {
            double worst = 0.0, stray = 0.0;
            for (int phase = 0; phase < 12; ++phase) {
                ModeField z{};
                z[n] = std::polar(1.0, phase * std::numbers::pi / 6.0);
                ModeField rest = carry(back, carry(there, z));
                worst = std::max(worst, std::abs(rest[n] / z[n] - 1.0));
                rest[n] = 0.0;
                stray = std::max(stray, energy(table(one), rest, 8) / energy(table(one), z));
            }
            CAPTURE(one, two, n, worst, stray);
            CHECK(worst < 0.25); // measured: 0.21, G4 to A4 and back
            CHECK(stray < 0.07); // −12 dB; measured: 0.061
        }
    }
}

TEST_CASE("a jump of the holes makes no energy to speak of", "[projection][invariant]")
{
    const std::pair<const char*, const char*> steps[]{{"C4", "D4"}, {"D4", "C4"}, {"E3", "F3"}, {"F3", "E3"},
                                                      {"E3", "B4"}, {"B4", "E3"}, {"A4", "B4"}, {"G4", "A4"},
                                                      {"G5", "A5"}, {"C6", "C#6"}};
    for (const auto& [from, to] : steps) {
        const auto worst = energy_ratio(from, to, 6);
        CAPTURE(from, to, worst.gain, worst.least);
        const double first_two = energy_ratio(from, to, 2).least;
        CAPTURE(first_two);
        CHECK(first_two > 0.4); // the rest streams round through vent and bell; measured: 0.50, E3 to B4
        // The sum over modes is the energy of a bore without losses; with them it is blurred. Measured:
        // 1.24 (0.9 dB) on G5 to A5, where modes of the open holes alone (C far from real) take part; the
        // voice caps what it starts a bank with at the energy there was.
        CHECK(worst.gain < 1.3);
    }
}

TEST_CASE("the register key hands the second mode over whole", "[projection][limit]")
{
    // The vent lies near that mode's pressure node (common practice, no source), so the twelfth is ready.
    const auto p = project(table("E3"), table("B4"));
    CAPTURE(p.direct[0][0], p.direct[1][1]);
    CHECK(std::abs(p.direct[1][1] - 1.0) < 0.12);
    CHECK(std::abs(p.direct[0][0] - 1.0) > std::abs(p.direct[1][1] - 1.0));
}
