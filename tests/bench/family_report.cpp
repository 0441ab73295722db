// SPDX-License-Identifier: MIT
#include "tests/bench/family_report.h"
#include "engine/files/phrase/read_phrase.h"
#include "engine/part/choose_part.h"

#include "tests/engine/family_measures.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace canebrake
{

void family_report(const std::string& only)
{
    std::printf("%-16s %-14s %-7s %-18s %-18s %-18s lost\n", "instrument", "pp mf ff", "worst", "centroid Hz",
                "odd-even dB", "level dB");
    for (const std::string& name : members_with_models()) {
        if (!only.empty() && name != only)
            continue;
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

void family_slurs_report(const std::string& only)
{
    constexpr double rate = 48000.0;
    constexpr const char* pairs[] = {"A4_B4", "Bb4_C5", "G4_C5", "B4_A4", "C5_C6", "C6_C5", "G3_G4",
                                     "G4_G3", "E3_B4",  "C4_G5", "B4_E3", "G5_C4", "C4_D4", "D5_E5"};
    std::printf("studio, mf, a quarter at 72, median of 4: dip dB / settles ms, and how many of 4 arrive if "
                "not all\n%-16s",
                "");
    for (const char* pair : pairs)
        std::printf(" %-10s", pair);
    std::printf("\n");
    for (const std::string& name : members_with_models()) {
        if (!only.empty() && name != only)
            continue;
        const Instrument& instrument = instrument_named(name);
        std::printf("%-16s", name.c_str());
        for (const char* pair : pairs) {
            std::vector<double> dips, settles;
            int arrived = 0;
            for (std::uint64_t seed = 1; seed <= 4; ++seed) {
                Line line = choose_part(read_phrase(std::string("tempo 72 mf 1/4 ") + pair), "");
                set_pitch_basis(line, PitchBasis::written, instrument.transposition);
                RenderSettings settings;
                settings.seed = seed;
                Rendering rendering(instrument, line, settings);
                std::vector<float> audio(rendering.total_samples());
                rendering.process(audio);
                const auto& notes = rendering.notes();
                const auto m =
                    measure_slur(std::span(audio).first(std::size_t(notes[1].end_s * rate)), {rate},
                                 notes[1].start_s - 0.004, notes[0].target_hz, notes[1].target_hz);
                dips.push_back(m.dip_db);
                settles.push_back(m.settle_s * 1e3);
                arrived += m.arrived;
            }
            std::sort(dips.begin(), dips.end());
            std::sort(settles.begin(), settles.end());
            char cell[32];
            std::snprintf(cell, sizeof cell, arrived == 4 ? "%.0f/%.0f" : "%.0f/%.0f (%d)", dips[2],
                          settles[2], arrived);
            std::printf(" %-10s", cell);
        }
        std::printf("\n");
        std::fflush(stdout);
    }
}

} // namespace canebrake
