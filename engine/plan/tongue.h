// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/grade.h"
#include "engine/plan/kit.h"
#include "engine/plan/timed_note.h"

#include <cstddef>
#include <span>
#include <vector>

namespace canebrake
{

/// Strokes a second: up to `easy` easy, up to `awkward` awkward, up to `risky` risky, and beyond that
/// nobody's.
struct TongueLimits {
    double easy, awkward, risky;
};

/// Of even strokes that last so many seconds, first to last: fastest in a burst of a second, slower from four
/// seconds on, straight in between. From written C6 up the tongue is a tenth slower. Double tonguing goes
/// half as fast again below C6 and hardly faster above. `high` and `double_tongued` are shares, 0 to 1;
/// `tongue_factor`: the instrument's, 1 for the B-flat clarinet. Infinite for the ideal player.
TongueLimits tongue_limits(Player, double seconds, double high = 0.0, double double_tongued = 0.0,
                           double tongue_factor = 1.0);

/// Strokes a second that this tongue still makes, well or badly; what is written faster loses strokes.
double fastest_strokes(Player, double seconds_of_burst, bool high, bool double_tongued,
                       double instrument_factor);

/// Tongued strokes in a row, none more than 0.3 s after the last. Notes slurred in between are no strokes,
/// and rest the tongue.
struct TongueRun {
    std::size_t from = 0, to = 0;                 ///< first and last stroke, as notes
    std::size_t hardest_from = 0, hardest_to = 0; ///< the part of it that decides
    double strokes_per_s = 0.0;                   ///< there
    TongueLimits limits{};                        ///< there
    Grade grade = Grade::easy;
    double easy_at = 1.0; ///< times the tempo, all of it is easy; never above 1
};

/// All runs of a line of notes in playing order.
///
/// Judged is the worst of: any two strokes, any three or four, the fullest second, 1.5, 2, 3 and 4 seconds,
/// and the whole run, each against the limit for so long a burst. Two strokes in a row are a rebound and may
/// be 1.3 times as fast as a burst, three 1.15 times: the tongue has rested before. Double tonguing is
/// counted where the kit has it or the note asks for it. How well the line is known changes nothing.
///
/// The limits are those of repeated notes; fingers are judged elsewhere. Common practice, not measurements.
/// Linear in the notes.
std::vector<TongueRun> tongue_runs(std::span<const TimedNote> notes, const Kit&, double tongue_factor = 1.0);

} // namespace canebrake
