// SPDX-License-Identifier: MIT
#pragma once

#include "engine/note_finding/note_frames.h"

#include <cmath>
#include <cstddef>
#include <vector>

namespace canebrake::listening
{

inline std::size_t note_hops(double s)
{
    return std::size_t(std::lround(s / note_hop_s));
}

/// A stretch of frames that is one note, as far as is known.
struct Run {
    std::size_t start = 0, end = 0;
    double cents = 0.0;   ///< its middle pitch
    bool tongued = false; ///< begins with a rise of level, out of a gap or a dip

    std::size_t length() const { return end - start; }
};

/// The frames of a recording, and what is asked of them again and again.
class NoteCurve
{
public:
    explicit NoteCurve(std::vector<NoteFrame>);
    std::size_t size() const { return frames_.size(); }
    double level(std::size_t i) const { return frames_[i].level_db; }
    double cents(std::size_t i) const { return frames_[i].cents; }
    /// There is a pitch, and it is no more than 55 dB under the loud notes.
    bool sounds(std::size_t i) const { return cents(i) > 0.0 && level(i) > quiet_db_; }
    /// Highest level from `from` up to but not `to`, dB.
    double loudest(std::size_t from, std::size_t to) const;
    double loudest(const Run& run) const { return loudest(run.start, run.end); }
    /// Middle pitch of what sounds there; 0 if nothing does.
    double pitch_between(std::size_t from, std::size_t to) const;

private:
    std::vector<NoteFrame> frames_;
    double quiet_db_;
};

inline constexpr double quarter_tone = 50.0; // cents
/// A hole so long is in a note, a longer one its end.
inline const std::size_t longest_hole = note_hops(0.060);

/// Cut where the pitch moves by more than a quarter-tone and stays, and where the level dips and rises again.
/// In order; one begins where the one before it ends, or after a gap.
std::vector<Run> cut_notes(const NoteCurve&);

} // namespace canebrake::listening
