// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/performance/part.h"
#include "engine/performance/settings.h"
#include "models/instruments/instrument.h"

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace canebrake
{

/// Line → plan → performance → sound, as a stream. The same line, settings and seed give the same samples
/// however they are fetched. Construction plans the whole line; tables are worked out when first needed.
class Rendering
{
public:
    Rendering(const Instrument&, const Line&, const RenderSettings&);
    /// With a trill book that is there already (same instrument and kit); it may be dropped afterwards.
    Rendering(TrillBook&, const Line&, const RenderSettings&);
    /// Of a line that is planned already, by `prepare_part` with the same settings.
    Rendering(const Instrument&, const Line&, Part, const RenderSettings&);
    ~Rendering();
    Rendering(Rendering&&) noexcept;
    Rendering& operator=(Rendering&&) noexcept;

    const std::vector<PlannedNote>& notes() const;
    /// One line for each note that is off the instrument: bar, beat, note, range.
    const std::vector<std::string>& remarks() const;
    double sounding_end(std::size_t note) const; ///< s; a staccato note ends before the next begins
    double duration_s() const;                   ///< with the last note's tail, and the room's
    std::uint64_t total_samples() const;
    /// Goes to a note, forwards or back, and starts there as from silence: the note is tongued, whatever came
    /// before it. Fingers and breath are those of the whole line. Sound begins a little before the note.
    void start_at(std::size_t note);
    double position_s() const; ///< of the next sample
    /// Fills `out` from where the last call stopped; returns how many samples were left to give (0 at the
    /// end).
    std::size_t process(std::span<float> out);

private:
    struct State;
    std::unique_ptr<State> state_;
};

} // namespace canebrake
