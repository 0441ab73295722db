// SPDX-License-Identifier: MIT
#include "tests/bench/family_report.h"

#include "engine/calibration/ladder.h"
#include "tests/engine/family_measures.h"
#include "tests/engine/ladder_measures.h"

#include <cstdio>

namespace canebrake
{

void family_ladder_report(const std::string& only)
{
    constexpr const char* names[] = {"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"};
    std::printf(
        "studio, lowest note to C6: notes louder and brighter at every step ppp … fff; least step; span "
        "pp-ff, mean, least, and at the worst against what is asked; notes over 4 dB off their "
        "neighbours' mean; slowest pp\n"
        "| instrument | notes | louder | brighter | least step dB | span dB | least | off asked | "
        "outliers | slowest pp ms | steps back, outliers |\n|---|---|---|---|---|---|---|---|---|---|---|\n");
    for (const std::string& name : members_with_models()) {
        if (!only.empty() && name != only)
            continue;
        const Instrument& instrument = instrument_named(name);
        std::vector<int> notes;
        for (int w = instrument.lowest.number; w <= 84; ++w)
            notes.push_back(w);
        const auto all = ladders(instrument, notes);
        int louder = 0, brighter = 0, outliers = 0;
        double least_step = 99.0, least_span = 99.0, sum = 0.0, off = 0.0, slowest = 0.0;
        std::string which;
        for (std::size_t i = 0; i < all.size(); ++i) {
            const Ladder& note = all[i];
            louder += note.louder();
            brighter += note.brighter();
            least_step = std::min(least_step, note.least_step_db());
            least_span = std::min(least_span, note.span_db());
            sum += note.span_db();
            const double wrong = note.span_db() - calibration::span_db(*instrument.primary({note.written}));
            off = std::abs(wrong) > std::abs(off) ? wrong : off;
            slowest = std::max(slowest, note.rung[1].speaking_s);
            for (std::size_t d = 0; d < 8; ++d) {
                const std::string here = " " + pitch_name(note.written) + names[d];
                if (d > 0 && note.level(d) <= note.level(d - 1))
                    which += here + ":level";
                if (d > 0 && note.centroid_hz[d] <= note.centroid_hz[d - 1])
                    which += here + ":centroid";
                if (i == 0 || i + 1 == all.size())
                    continue;
                const double beside = beside_neighbours_db(all[i - 1], note, all[i + 1], d);
                if (std::abs(beside) > 4.0) {
                    ++outliers;
                    char text[24];
                    std::snprintf(text, sizeof text, ":%+.1f", beside);
                    which += here + text;
                }
            }
        }
        std::printf("| %s | %zu | %d | %d | %.2f | %.1f | %.1f | %+.1f | %d | %.0f |%s |\n", name.c_str(),
                    all.size(), louder, brighter, least_step, sum / double(all.size()), least_span, off,
                    outliers, slowest * 1e3, which.c_str());
        std::fflush(stdout);
    }
}

} // namespace canebrake
