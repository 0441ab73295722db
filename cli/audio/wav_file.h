// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <span>

namespace canebrake
{

enum class SampleFormat { pcm16, pcm24, float32 };

/// A mono WAV file, written beside its destination and renamed into place by `finish`, so that an existing
/// file is never left half-written; without `finish` nothing remains. Same samples, same bytes, however they
/// are cut into blocks. A file that would pass 4 GB becomes RF64 (EBU Tech 3306) as it grows; that needs the
/// room of both for a moment. Of the sources only this and audio_file.cpp know libsndfile. Throws InputError
/// (Fault::unwritable) naming the path and the system's reason. A destination that is there already must be
/// a plain file; a link is followed.
class WavWriter
{
public:
    /// What a plain WAV may hold, in bytes of audio: its sizes are 32 bits wide, and some readers take them
    /// as signed, but few stop there. Smaller only for tests.
    static constexpr std::uint64_t plain_limit = 0xFFFF0000;

    WavWriter(const std::filesystem::path& destination, SampleRate, SampleFormat,
              std::uint64_t plain_limit_bytes = plain_limit);
    ~WavWriter();
    WavWriter(const WavWriter&) = delete;
    WavWriter& operator=(const WavWriter&) = delete;
    /// 16 bit: TPDF dither with a fixed seed, but a sample of exactly 0 stays 0, so that silence is silent.
    /// 24 bit: rounded. Both clip. Float: as it is. What is not a number becomes 0.
    void write(std::span<const float> samples);
    void finish();

private:
    struct State;
    std::unique_ptr<State> state_;
};

} // namespace canebrake
