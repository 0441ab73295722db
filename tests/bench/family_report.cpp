// SPDX-License-Identifier: MIT
#include "tests/bench/family_report.h"

#include "tests/engine/family_measures.h"

#include <cmath>
#include <cstdio>

namespace canebrake
{

void family_report()
{
    std::printf("%-16s %-14s %-7s %-18s %-18s %-18s lost\n", "instrument", "pp mf ff", "worst", "centroid Hz",
                "odd-even dB", "level dB");
    for (const std::string& name : members_with_models()) {
        const Instrument& instrument = instrument_named(name);
        int all = 0, settled = 0;
        double worst = 0.0;
        std::string lost;
        struct Sums {
            double centroid = 0.0, odd_even = 0.0, level = 0.0, count = 0.0;
        };
        std::array<Sums, 3> registers; // chalumeau, throat, clarion
        for (int w = instrument.lowest.number; w <= instrument.top_extreme.number; ++w)
            for (const char* dynamic : {"pp", "mf", "ff"}) {
                const bool professional = w <= instrument.top_professional.number;
                if (!professional && dynamic[0] == 'p')
                    continue;
                const Sounded s = sounded(instrument, w, dynamic);
                ++all;
                settled += s.measure.in_register;
                if (!s.measure.in_register)
                    lost += " " + pitch_name(w) + dynamic;
                else if (professional)
                    worst = std::max(worst, std::abs(s.measure.cents));
                if (dynamic[0] == 'm' && w <= 84 && s.measure.in_register) {
                    Sums& sums = registers[w <= 66 ? 0 : w <= 70 ? 1 : 2];
                    sums.centroid += s.tone.centroid_hz;
                    sums.odd_even += odd_over_even(s.tone);
                    sums.level += s.measure.level_db;
                    sums.count += 1.0;
                }
            }
        std::printf("%-16s %3d of %3d     %4.0f c  ", name.c_str(), settled, all, worst);
        for (const auto value : {&Sums::centroid, &Sums::odd_even, &Sums::level})
            std::printf("%5.0f %5.0f %5.0f   ", registers[0].*value / registers[0].count,
                        registers[1].*value / registers[1].count, registers[2].*value / registers[2].count);
        std::printf("%s\n", lost.c_str());
        std::fflush(stdout);
    }
}

} // namespace canebrake
