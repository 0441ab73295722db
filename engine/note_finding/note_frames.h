// SPDX-License-Identifier: MIT
#pragma once

#include "engine/note_finding/find_notes.h"

#include <span>
#include <vector>

namespace canebrake::listening
{

/// Pitch and level of one voice, seen through windows as short as its pitch allows: what notes are cut from.
struct NoteFrame {
    double cents = 0.0;       ///< pitch over 1 Hz; 0 where there is none
    double level_db = -120.0; ///< over whole periods, 8 ms or one period: a tongue's dip is not smeared
};

inline constexpr double note_hop_s = 0.004;

/// Frame `i` is centred on `i` hops. Looked at through 24 ms, and through 1.7 periods of `low_hz` where that
/// shows no pitch or one under 110 Hz. Time and memory grow as the length.
std::vector<NoteFrame> note_frames(std::span<const float> audio, SampleRate, const FindOptions&);

} // namespace canebrake::listening
