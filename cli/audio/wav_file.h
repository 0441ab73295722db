// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <filesystem>
#include <memory>
#include <span>
#include <vector>

namespace canebrake
{

enum class SampleFormat { pcm16, pcm24, float32 };

/// A mono WAV file, written beside its destination and renamed into place by `finish`, so that an existing
/// file is never left half-written; without `finish` nothing remains. Same samples, same bytes. The only file
/// that knows libsndfile, with its source. Throws InputError (Fault::unwritable) naming the path and the
/// system's reason.
class WavWriter
{
public:
    WavWriter(const std::filesystem::path& destination, SampleRate, SampleFormat);
    ~WavWriter();
    WavWriter(const WavWriter&) = delete;
    WavWriter& operator=(const WavWriter&) = delete;
    void write(std::span<const float> samples); ///< integer formats: TPDF-dithered with a fixed seed, clipped
    void finish();

private:
    struct State;
    std::unique_ptr<State> state_;
};

struct WavAudio {
    std::vector<float> samples; ///< mono; several channels are averaged
    SampleRate rate;
};
/// Throws InputError (Fault::unreadable).
WavAudio read_wav(const std::filesystem::path&);

} // namespace canebrake
