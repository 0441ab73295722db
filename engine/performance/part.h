// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/breath.h"
#include "engine/plan/plan.h"
#include "engine/synthesis/rendering.h"

#include <string>
#include <vector>

namespace canebrake
{

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
