// SPDX-License-Identifier: MIT
#include "models/maker/maker.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace canebrake
{

double played_frequency(const Resonator& bore, HoleState state, double near_hz, double reach_cents,
                        double reed_m)
{
    const double c = bore.air().sound_speed_mps;
    const auto reactance = [&](double hz) {
        const double k = 2.0 * std::numbers::pi * hz / c;
        return (1.0 / bore.impedance(hz, state)).imag() + k * reed_m;
    };
    // A resonance is an upward zero of the susceptance; look outwards from the target.
    const auto at = [&](int step) { return near_hz * std::exp2(step * 10.0 / 1200.0); };
    const int reach = int(std::ceil(reach_cents / 10.0));
    for (int distance = 0; distance < reach; ++distance)
        for (const int sign : {1, -1}) {
            const int step = sign > 0 ? distance : -distance - 1;
            double low = at(step), high = at(step + 1);
            double y_low = reactance(low), y_high = reactance(high);
            if (!(y_low < 0.0 && y_high >= 0.0))
                continue;
            for (int i = 0; i < 12; ++i) {
                const double middle = low - y_low * (high - low) / (y_high - y_low);
                const double y = reactance(middle);
                (y < 0.0 ? low : high) = middle;
                (y < 0.0 ? y_low : y_high) = y;
            }
            return low - y_low * (high - low) / (y_high - y_low);
        }
    return 0.0;
}

Geometry place_holes(Geometry geometry, const Air& air, std::size_t vent,
                     const std::vector<HoleTargets>& wishes, int sweeps, double reed_m)
{
    const auto deviation = [&](const std::vector<TuningTarget>& targets) {
        const Resonator bore(geometry, air, vent);
        double sum = 0.0, weights = 0.0;
        for (const auto& target : targets) {
            const double hz = played_frequency(bore, target.holes, target.frequency_hz, 350.0, reed_m);
            if (hz <= 0.0)
                continue;
            sum += target.weight * cents_between({hz}, {target.frequency_hz}).value;
            weights += target.weight;
        }
        return weights > 0.0 ? sum / weights : 0.0;
    };
    for (int sweep = 0; sweep < sweeps; ++sweep)
        for (const auto& wish : wishes) {
            double& x = geometry.holes[wish.hole].x_m;
            const double above = wish.hole > 0 ? geometry.holes[wish.hole - 1].x_m : 0.0;
            const double below = wish.hole + 1 < geometry.holes.size() ? geometry.holes[wish.hole + 1].x_m
                                                                       : geometry.length_m() - 0.05;
            const double top = above + 1.5e-3, bottom = below - 1.5e-3;
            double x0 = x, d0 = deviation(wish.targets);
            x = std::clamp(x0 + d0 * 0.15e-3, top, bottom);
            for (int i = 0; i < 6; ++i) {
                const double d1 = deviation(wish.targets);
                if (std::abs(d1) < 0.05 || std::abs(x - x0) < 1e-8)
                    break;
                double next = std::abs(d1 - d0) > 1e-6 ? x - d1 * (x - x0) / (d1 - d0) : x;
                next = std::clamp(next, std::max(top, x - 8e-3), std::min(bottom, x + 8e-3));
                x0 = x;
                d0 = d1;
                x = next;
            }
        }
    return geometry;
}

} // namespace canebrake
