// SPDX-License-Identifier: MIT
#pragma once

#include "engine/rendering/sequence.h"

#include <optional>
#include <utility>
#include <vector>

namespace canebrake
{

/// A part as one player plays it on one instrument in one tempo, from anywhere in it and round any stretch of
/// it. Places are quarters of the line, which stay the same from take to take. From the beginning, without a
/// stretch to repeat, it gives the samples of its Sequence.
class Take
{
public:
    /// `tempo`: of the whole line, as it is played. The sequence has given nothing yet.
    Take(Sequence, const std::vector<TempoPoint>& tempo, SampleRate);

    struct Note {
        std::size_t piece = 0, note = 0;  ///< indices into Sequence::pieces and Rendering::notes
        std::uint64_t start = 0, end = 0; ///< samples; `end` when its sound stops being driven
    };
    const std::vector<Note>& notes() const { return notes_; } ///< that sound, in playing order
    const Sequence& sequence() const { return sequence_; }
    const TempoMap& tempo() const { return tempo_; }
    SampleRate rate() const { return rate_; }
    std::uint64_t total_samples() const { return sequence_.total_samples(); }
    std::uint64_t sample_at(double quarter) const;

    /// Goes to a place. A note that begins there is tongued, with the breath before it (up to 0.3 s, silent
    /// or nearly); one that is held there sounds on from the place itself.
    void go_to(double quarter);
    /// The same, and nothing of what comes before the place: to take over from another player.
    void take_over_at(double quarter);
    /// Round and round: at `second` quarters it goes back to `first`, in time, the end of the last round
    /// ringing into the next. A stretch shorter than a quarter of a second is played through instead.
    void repeat(std::optional<std::pair<double, double>>);

    std::uint64_t position() const; ///< of the next sample
    /// Fills `out`; less only where the music ends.
    std::size_t process(std::span<float> out);

private:
    void go_to_sample(std::uint64_t, bool exactly);
    std::size_t give(std::span<float>);
    void turn();

    Sequence sequence_;
    TempoMap tempo_;
    SampleRate rate_;
    std::vector<Note> notes_;
    std::uint64_t pad_ = 0;                                   // samples of silence before the sequence
    bool rests_ = false;                                      // no note is left: `pad_` is all there is
    std::uint64_t loop_from_ = 0, loop_to_ = 0, turn_at_ = 0; // loop_to_ 0: none
    std::vector<float> turning_;                     // the end of one round over the next one's beginning
    std::size_t turning_at_ = 0, before_ = 0;        // `before_`: of it, before the next round begins
    std::uint64_t turning_from_ = 0, next_from_ = 0; // places where that begins, and the next round in it
};

} // namespace canebrake
