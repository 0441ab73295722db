// SPDX-License-Identifier: MIT
#include "tests/bench/published_report.h"

#include "models/air/air.h"
#include "models/bore/barrel.h"
#include "models/maker/maker.h"
#include "tests/engine/family_measures.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>

namespace canebrake
{

namespace
{

// SHARC: G. Sandell, Sandell Harmonic Archive, public domain; medians by register as the project's facts 5.1
// have them. "Computed": the facts' own independent transfer-matrix code on a published bore, sections 4.1
// and 4.3.
void row(const char* what, const char* source, double published, double ours, double tolerance,
         const char* unit)
{
    std::printf("| %s | %s | %g | %.1f | %+.1f | %g %s | %s |\n", what, source, published, ours,
                ours - published, tolerance, unit,
                std::abs(ours - published) <= tolerance ? "" : "**outside**");
}

double median(std::vector<double> values)
{
    std::sort(values.begin(), values.end());
    return values.empty() ? std::nan("") : values[values.size() / 2];
}

HoleState held(const Instrument& instrument, const Fingering& f)
{
    HoleState holes = f.holes;
    holes.open |= f.vent > 0.0 ? 1u << instrument.vents[f.vent_number] : 0u;
    return holes;
}

void passive_twelfths()
{
    // f2 with the register key open over three times f1 without, no reed: the resonances alone.
    const Instrument& b = b_flat_soprano();
    const Resonator bore(b.geometry, breath_air({27.5}), b.vent_index);
    const std::pair<int, double> published[] = {{52, -15}, {53, -1},  {54, 1},   {55, -4},  {56, -8},
                                                {57, -14}, {58, -16}, {59, -24}, {60, -20}, {61, -24},
                                                {62, -24}, {63, -22}, {64, -21}, {65, -23}};
    for (const auto& [low, cents] : published) {
        const auto hz = [&](int written) {
            const Fingering& f = *b.primary({written});
            return played_frequency(bore, held(b, f), frequency({written - 2.0}, {440.0}).value, 350.0, 0.0);
        };
        char what[40];
        std::snprintf(what, sizeof what, "%s–%s", pitch_name(low).c_str(), pitch_name(low + 19).c_str());
        row(("passive twelfth " + std::string(what)).c_str(), "computed", cents,
            cents_between({hz(low + 19)}, {3.0 * hz(low)}).value, 20.0, "c");
    }
}

void barrel()
{
    const Instrument& b = b_flat_soprano();
    const Resonator bore(b.geometry, breath_air({25.0}), b.vent_index),
        pulled(with_barrel_out(b.geometry, 0.001), breath_air({25.0}), b.vent_index);
    for (const auto& [written, cents] :
         {std::pair{52, -3.1}, std::pair{60, -4.6}, std::pair{67, -6.8}, std::pair{69, -7.6},
          std::pair{71, -3.2}, std::pair{79, -4.2}, std::pair{84, -5.1}}) {
        const HoleState holes = held(b, *b.primary({written}));
        const double target = frequency({written - 2.0}, {440.0}).value;
        row(("barrel out 1 mm, " + pitch_name(written)).c_str(), "computed", cents,
            cents_between({played_frequency(pulled, holes, target)}, {played_frequency(bore, holes, target)})
                .value,
            1.0, "c");
    }
}

void temperature()
{
    const double cents =
        1200.0 * std::log2(breath_air({30.0}).sound_speed_mps / breath_air({20.0}).sound_speed_mps);
    row("20 to 30 °C, saturated breath against dry air", "computed", 31.0, cents, 4.0, "c");
}

void harmonic_archive()
{
    struct Register {
        const char* instrument;
        const char* name;
        int low, high;
        double odd_over_even, h2, h3, centroid;
    };
    for (const Register& r : {Register{"B-flat", "chalumeau", 52, 66, 29, -36, -6, 1295},
                              Register{"B-flat", "throat", 67, 70, 9, -15, 9, 2058},
                              Register{"B-flat", "clarion", 71, 84, 10, -12, -10, 1681},
                              Register{"B-flat", "altissimo", 85, 88, 3, -2, -14, 2079},
                              Register{"E-flat", "chalumeau", 52, 66, 32, -37, -8, 1246},
                              Register{"E-flat", "throat", 67, 70, 24, -32, -14, 1327},
                              Register{"E-flat", "clarion", 71, 84, 19, -20, -13, 1624},
                              Register{"bass", "chalumeau", 51, 66, 38, -40, -6, 1143},
                              Register{"bass", "throat", 67, 70, 27, -55, -16, 1152},
                              Register{"bass", "clarion", 71, 75, 26, -33, -13, 1152},
                              Register{"contra-alto", "chalumeau", 51, 66, 35, -37, 1, 1068}}) {
        std::vector<double> gap, h2, h3, centroid;
        for (int w = r.low; w <= r.high; ++w) {
            const Sounded s = sounded(instrument_named(r.instrument), w, "mf");
            if (!s.measure.in_register || s.tone.level_db.size() < 5)
                continue;
            gap.push_back(odd_over_even(s.tone));
            h2.push_back(s.tone.level_db[1] - s.tone.level_db[0]);
            h3.push_back(s.tone.level_db[2] - s.tone.level_db[0]);
            centroid.push_back(s.tone.centroid_hz);
        }
        const std::string of = std::string(r.instrument) + " " + r.name;
        row((of + ", odd over even").c_str(), "SHARC", r.odd_over_even, median(gap), 15.0, "dB");
        row((of + ", H2 re H1").c_str(), "SHARC", r.h2, median(h2), 10.0, "dB");
        row((of + ", H3 re H1").c_str(), "SHARC", r.h3, median(h3), 10.0, "dB");
        row((of + ", centroid").c_str(), "SHARC", r.centroid, median(centroid), 0.35 * r.centroid, "Hz");
    }
}

} // namespace

void published_report()
{
    std::printf(
        "| figure | source | published | ours | difference | tolerance | |\n|---|---|---|---|---|---|---|\n");
    passive_twelfths();
    barrel();
    temperature();
    harmonic_archive();
}

} // namespace canebrake
