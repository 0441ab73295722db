// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <filesystem>
#include <vector>

namespace canebrake
{

struct Audio {
    std::vector<float> samples; ///< mono; several channels are averaged; what is no number is 0
    SampleRate rate;
};
/// Any format libsndfile knows: WAV, AIFF, FLAC, Ogg, MP3 and more, 4 to 768 kHz, up to twelve hours. Throws
/// InputError (Fault::unreadable) on the rest: missing, empty, a folder or a pipe, not audio, broken off, too
/// long. The file's own header is asked first, so nothing is allocated for one that is too long.
Audio read_audio(const std::filesystem::path&);

} // namespace canebrake
