// SPDX-License-Identifier: MIT
#pragma once

#include "engine/listening/note_meter.h"
#include "engine/part/part_to_play.h"
#include "engine/rendering/sequence.h"

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

class Bench;

/// A part as sound, block by block: an hour takes no more memory than its list of notes. The same line,
/// settings and seed give the same samples however they are fetched. For one thread at a time.
class Sounding
{
public:
    /// Plans the part the request names. InputError: as `choose_part` and `part_to_play`, and (Fault::usage)
    /// for a line of more than twelve hours, which is damaged.
    Sounding(const Bench&, const LineRequest&);
    /// Parts that are ready to play, together; each of several a little softer, since they add.
    Sounding(std::vector<PartToPlay>, const LineRequest&);

    double rate() const { return request_.settings.rate.value; } ///< samples a second
    std::uint64_t total_samples() const { return sequence_.total_samples(); }
    std::uint64_t position() const { return sequence_.position(); } ///< of the next sample
    double duration_s() const { return sequence_.duration_s(); }    ///< with the last note's tail
    std::size_t notes() const;                                      ///< that sound
    std::size_t silent_notes() const;                               ///< off the instrument
    std::string instruments() const; ///< titles of those in use, one after the other
    /// What was assumed and what cannot be heard: "remark: …", "warning: …", one line each.
    std::vector<std::string> remarks() const;
    /// InputError (Fault::off_range) naming the first note that is off the instrument, if there is one.
    void refuse_silent_notes() const;

    /// Fills `out` from where the last call stopped; returns how many samples were left to give (0 at the
    /// end).
    std::size_t process(std::span<float> out);

    /// From here on every note is measured as it goes by. Before the first `process`.
    void measure();
    /// What was played and measured, as the schema canebrake-events has it, piece by piece. Once, at the end.
    void write_events(const std::string& sound_file, const std::string& bits,
                      const std::function<void(std::string_view)>& write);

private:
    std::vector<ToldNote> told_notes() const;
    std::vector<std::string> warnings() const;
    void add_stretches(std::vector<PartToPlay>& parts);

    LineRequest request_;
    TrillBooks books_;
    std::vector<PartToPlay> parts_;
    Sequence sequence_;
    std::optional<NoteMeter> meter_;
    float gain_ = 1.0f;
};

} // namespace canebrake
