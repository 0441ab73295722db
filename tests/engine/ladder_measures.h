// SPDX-License-Identifier: MIT
#pragma once

#include "engine/comparison/tone_map.h"
#include "models/instruments/instrument.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace canebrake
{

/// One written note at ppp … fff, studio player, each rung tongued by itself.
struct Ladder {
    int written = 0;
    std::array<NoteMeasure, 8> rung;
    std::array<double, 8> centroid_hz; ///< of the harmonics: breath noise has its own at ppp

    double level(std::size_t d) const { return rung[d].level_db; }
    double span_db() const { return level(6) - level(1); } ///< pp to ff
    double soft_db() const { return level(1) - level(4); } ///< pp against mf
    bool louder() const { return least_step_db() > 0.0; }  ///< at every step
    bool brighter() const                                  ///< at every step
    {
        for (std::size_t d = 1; d < 8; ++d)
            if (centroid_hz[d] <= centroid_hz[d - 1])
                return false;
        return true;
    }
    double least_step_db() const
    {
        double least = 99.0;
        for (std::size_t d = 1; d < 8; ++d)
            least = std::min(least, level(d) - level(d - 1));
        return least;
    }
};

inline std::vector<Ladder> ladders(const Instrument& instrument, const std::vector<int>& notes)
{
    const std::array<double, 8> levels{0, 1, 2, 3, 4, 5, 6, 7};
    std::vector<WrittenPitch> written;
    for (const int w : notes)
        written.push_back({w});
    std::vector<Ladder> result;
    for (const ToneNote& note : tone_map(instrument, written, levels, {}).notes) {
        Ladder ladder{note.written.number, {}, {}};
        for (std::size_t d = 0; d < note.cells.size(); ++d) {
            ladder.rung[d] = note.cells[d].heard.note;
            ladder.centroid_hz[d] = note.cells[d].heard.tone.centroid_hz;
        }
        result.push_back(ladder);
    }
    return result;
}

/// How far a note lies off the mean of its neighbours, dB.
inline double beside_neighbours_db(const Ladder& below, const Ladder& note, const Ladder& above,
                                   std::size_t rung)
{
    return note.level(rung) - 0.5 * (below.level(rung) + above.level(rung));
}

} // namespace canebrake
