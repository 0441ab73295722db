// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <span>
#include <string>

namespace canebrake
{

/// A whole sound file in memory, small enough to travel inside a page.
struct PackedSound {
    std::string media_type; ///< "audio/mpeg" or "audio/flac"
    std::string bytes;
};

/// Mono sound, packed for listening: MP3 (ISO/IEC 11172-3 and 13818-3, variable bit rate) where MP3 has the
/// rate (8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000), else FLAC of 16 bits. Same samples,
/// same bytes. Starts where the samples start: what the encoder adds in front is noted in the file and taken
/// off by players that read it (libsndfile to the sample, Chromium likewise; a test each). Samples over full
/// scale are clipped, and nothing is turned down, since levels are compared; what is not a number becomes 0.
/// Throws InputError (Fault::unwritable) when there are no samples or libsndfile was built without either.
PackedSound packed_sound(std::span<const float> samples, SampleRate);

} // namespace canebrake
