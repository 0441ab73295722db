// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "models/units/pitch.h"

#include <optional>
#include <vector>

namespace canebrake
{

/// A note in seconds, with what lungs and tongue have to know of it.
struct TimedNote {
    double start_s = 0.0;
    double end_s = 0.0; ///< when its sound is to stop: what lies between it and the next note is silence
    WrittenPitch written{67};
    double dynamic = 4.0;                 ///< ladder level at its start
    std::optional<double> dynamic_middle; ///< empty: as at the start
    std::optional<double> dynamic_end;    ///< empty: as in the middle
    bool slurred_to_next = false;         ///< the next note is joined without the tongue
    bool breath_mark = false;             ///< printed after this note
    bool fermata = false;
    bool starts_bar = false;    ///< begins on a bar line
    bool silent = false;        ///< not played: takes no air and no stroke
    bool double_tongue = false; ///< printed: these strokes are to be made by twos
};

/// The notes of a line whose grace notes and ornaments have their time; `transposition` is the instrument's,
/// sounding minus written. None is silent: what is off the instrument is the instrument's to say.
std::vector<TimedNote> timed_notes(const Line&, int transposition, double tempo_scale = 1.0);

} // namespace canebrake
