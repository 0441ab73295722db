// SPDX-License-Identifier: MIT
#pragma once

#include "engine/listening/listening.h"

#include <cstdint>

namespace canebrake
{

/// A note as it was told: when, from the start of the audio, and at what pitch.
struct ToldNote {
    double start_s = 0.0;
    double end_s = 0.0;
    double target_hz = 0.0;
};

/// `measure_note` while the audio is being made: what comes by is measured as each note ends. How the audio
/// is cut into blocks changes nothing, and the figures are those of `measure_note` on the note's own samples.
/// Keeps only the current note, and of that the first and the last 3 s.
class NoteMeter
{
public:
    /// `notes`: by start, not overlapping.
    NoteMeter(std::vector<ToldNote> notes, SampleRate);
    void push(std::span<const float> audio);
    /// One a note. A note the audio stopped in is measured as far as it came; one it never reached has
    /// settled_hz 0 and level −120 dB.
    std::vector<NoteMeasure> finish();

private:
    void keep(std::span<const float> audio);
    void close_note();
    std::uint64_t start_of(const ToldNote&) const;
    std::uint64_t end_of(const ToldNote&) const;

    std::vector<ToldNote> notes_;
    SampleRate rate_;
    std::size_t longest_end_ = 0; ///< samples kept of each end
    std::vector<NoteMeasure> measures_;
    std::uint64_t position_ = 0;     ///< samples pushed so far
    std::uint64_t kept_ = 0;         ///< of the current note
    std::vector<float> head_, ring_; ///< first and last `longest_end_` samples of it
};

} // namespace canebrake
