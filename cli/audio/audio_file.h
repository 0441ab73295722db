// SPDX-License-Identifier: MIT
#pragma once

#include "engine/listening/audio.h"

#include <filesystem>

namespace canebrake
{

/// Mono: several channels are averaged; what is no number is 0. Any format libsndfile knows: WAV, AIFF, FLAC,
/// Ogg, MP3 and more, 4 to 768 kHz, up to twelve hours. Throws InputError (Fault::unreadable) on the rest:
/// missing, empty, a folder or a pipe, not audio, broken off, too long. The file's own header is asked first,
/// so nothing is allocated for one that is too long.
Audio read_audio(const std::filesystem::path&);

} // namespace canebrake
