// SPDX-License-Identifier: MIT
#pragma once

#include "engine/performance/settings.h"
#include "engine/plan/breath.h"
#include "engine/plan/plan.h"

#include <string>
#include <vector>

namespace canebrake
{

/// A note as it will be played.
struct PlannedNote {
    std::size_t line_note = 0; ///< index into Line::notes
    WrittenPitch written;      ///< on the instrument that plays
    std::string fingering;     ///< keys and fingers, `R T L1 L2 L3 R1 R2 R3 E`
    double start_s = 0.0, end_s = 0.0;
    double stroke_s = 0.0;  ///< when the tongue lets go: the start, or later where it cannot keep up
    double breath_s = 0.0;  ///< how long the breath after it is; 0: none
    double target_hz = 0.0; ///< equal temperament at the chosen A4
    double dynamic = 4.0;   ///< ladder level at its start
    bool tongued = true;
    bool silent = false; ///< off the instrument
};

/// A line as one player on one instrument will play it: when, with which fingers, joined or tongued.
struct Part {
    std::vector<PlannedNote> notes;
    std::vector<Choice> choices; ///< one a note
    std::vector<bool> joined;    ///< slurred to the next note
    BreathPlan breaths;
    std::vector<std::string> remarks;
};

/// Plans times, fingerings, tongue and breath. The tongue does what a tongue can: in a run too fast for it
/// strokes come late, and one that would come after half its note is left out.
Part prepare_part(TrillBook&, const Line&, const RenderSettings&);

/// When a note's sound stops being driven, seconds: before its end if its marks say so.
double sounding_end(const Part&, const Line&, std::size_t note);

} // namespace canebrake
