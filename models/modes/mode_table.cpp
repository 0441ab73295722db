// SPDX-License-Identifier: MIT
#include "models/modes/mode_table.h"

#include "models/modes/mode_finder.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

namespace canebrake
{

namespace
{

constexpr double two_pi = 2.0 * std::numbers::pi;

} // namespace

Complex ModeTable::impedance_at(Complex s) const
{
    Complex sum = inertance * s;
    for (std::size_t n = 0; n < count; ++n)
        sum += impedance[n] / (s - pole[n]) + std::conj(impedance[n]) / (s - std::conj(pole[n]));
    return sum;
}

Complex ModeTable::radiation_at(Complex s) const
{
    Complex sum{};
    for (std::size_t n = 0; n < count; ++n)
        sum += radiation[n] / (s - pole[n]) + std::conj(radiation[n]) / (s - std::conj(pole[n]));
    return sum;
}

double ModeTable::mode_frequency(std::size_t n) const
{
    return pole[n].imag() / two_pi;
}

Mode mode_at(const Resonator& bore, HoleState state, Complex pole)
{
    Mode mode{pole, {}, {}, {}, std::vector<HoleField>(bore.geometry().holes.size())};
    const auto end = bore.walk_with_holes<Dual>(pole, state, mode.shape);
    const Complex over_slope = 1.0 / end.reed.flow.d;
    mode.impedance = end.reed.pressure.v * over_slope;
    mode.radiation = end.radiated.v * over_slope;
    mode.vent = end.vent_pressure.v * over_slope;
    return mode;
}

ModeTable table_of(const Resonator& bore, HoleState state, std::span<const Mode> modes)
{
    assert(modes.size() <= max_modes);
    ModeTable table;
    table.state = state;
    table.vent_hole = bore.vent();
    table.count = modes.size();
    table.shapes.reserve(table.count * bore.geometry().holes.size());
    for (std::size_t n = 0; n < table.count; ++n) {
        table.pole[n] = modes[n].pole;
        table.impedance[n] = modes[n].impedance;
        table.radiation[n] = modes[n].radiation;
        table.vent[n] = modes[n].vent;
        table.shapes.insert(table.shapes.end(), modes[n].shape.begin(), modes[n].shape.end());
    }
    return table;
}

ModeTable table_from_poles(const Resonator& bore, HoleState state, std::span<const Complex> poles,
                           double inertance)
{
    std::vector<Mode> modes;
    for (const Complex pole : poles)
        modes.push_back(mode_at(bore, state, pole));
    ModeTable table = table_of(bore, state, modes);
    table.inertance = inertance;
    return table;
}

ModeTable with_vent(ModeTable table, std::size_t hole)
{
    const std::size_t holes = table.count ? table.shapes.size() / table.count : 0;
    assert(table.count == 0 || hole < holes);
    table.vent_hole = hole;
    for (std::size_t n = 0; n < table.count; ++n)
        table.vent[n] = table.impedance[n] * table.shapes[n * holes + hole].under_hole;
    return table;
}

double search_fineness(const Resonator& bore)
{
    constexpr double soprano_length_m = 0.70;
    return std::min(1.0, soprano_length_m / bore.geometry().length_m());
}

double table_error(const Resonator& bore, const ModeTable& table, double top_hz, int points)
{
    double worst = 0.0;
    for (int i = 0; i < points; ++i) {
        const double low_hz = 100.0 * search_fineness(bore);
        const double hz = low_hz + (top_hz - low_hz) * i / std::max(1, points - 1);
        worst = std::max(worst,
                         std::abs(bore.impedance(hz, table.state) - table.impedance_at({0.0, two_pi * hz})));
    }
    return worst;
}

} // namespace canebrake
