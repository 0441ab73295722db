// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <span>
#include <vector>

namespace canebrake
{

/// A note that was heard in a recording of one voice.
struct FoundNote {
    double start_s = 0.0, end_s = 0.0;
    double hz = 0.0; ///< pitch of its steady part
};

struct FindOptions {
    double low_hz = 40.0, high_hz = 3000.0;
    double shortest_s = 0.04;
};

/// The notes of a recording of one wind instrument, in order, not overlapping. A note begins where the pitch
/// has moved by more than a quarter-tone for good, or where the level rises again after a gap (the tongue).
/// Says nothing of notes it cannot tell apart: the same pitch slurred is one note. A note that cracks at its
/// start (another register, up to 0.11 s, or 0.25 s softly) begins with the crack; what rings on after a note
/// is none. Starts are on a grid of 4 ms. Time and memory grow as the length.
std::vector<FoundNote> find_notes(std::span<const float> audio, SampleRate, const FindOptions& = {});

} // namespace canebrake
