// SPDX-License-Identifier: MIT
#pragma once

#include "engine/listening/listening.h"

namespace canebrake::listening
{

/// Nothing further than this from an end of a note is listened to.
constexpr double note_end_s = 3.0;

/// Where a note counts as settled, in samples from its start: its last 60 % less the last 40 ms (the player
/// already prepares what follows), never over `note_end_s` from the end; 60 ms at least, taken first from the
/// 40 ms, then from before; all of a note shorter than that.
struct Stretch {
    std::size_t start = 0, end = 0;
};
Stretch settled_stretch(std::size_t samples, SampleRate);

/// `measure_note` from the two ends of a note of `samples` samples: its first and its last `note_end_s`,
/// which overlap in a note shorter than twice that.
NoteMeasure measure_note_ends(std::span<const float> head, std::span<const float> tail, std::size_t samples,
                              SampleRate, double target_hz);

} // namespace canebrake::listening
