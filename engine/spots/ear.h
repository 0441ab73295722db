// SPDX-License-Identifier: MIT
#pragma once

#include "engine/performance/part.h"
#include "engine/rendering/rendering.h"

#include <cstddef>
#include <optional>
#include <vector>

namespace canebrake
{

/// What is heard at one place of a rendering. Measured on the audio alone; what was not measured is empty.
struct Heard {
    std::optional<double> dip_db{};    ///< level under the softer of two slurred notes, ≥ 0
    std::optional<double> settle_ms{}; ///< from the fingers' move until pitch and level stay
    std::optional<double> speech_ms{}; ///< of a tongued note
    std::optional<double> cents{};     ///< of the note's settled part, from equal temperament
    std::optional<double> jump_db{};   ///< level of the note over the one before it (or beside it)
    std::optional<double>
        tone_change;     ///< its centroid over that of the one before (or beside): 1 is the same
    bool arrived = true; ///< settled within 80 cents of the note that is written
};

/// From when a tongued note counts as late, ms: our clarinets take 60–90 ms to start a pp, the low ones up to
/// 350. Common practice, no source.
double late_speech_ms(const Instrument&);

/// Listens to places of a line as one player plays it. Each place is rendered from the note before it (from
/// further back where that is short), begun by the tongue; fingers, breath and dynamics are those of the
/// whole line. One ear for one thread.
class Ear
{
public:
    /// `part`: planned from that line with these settings.
    Ear(const Instrument&, const Line&, Part, const RenderSettings&);

    /// The change into a note from the one before it; both sound and touch. At most the first 0.6 s of it.
    Heard change_into(std::size_t note);
    /// A note by itself, from its stroke (or, slurred into, from the note before), its first 1.2 s.
    Heard note(std::size_t note);
    /// The same, with level and tone against a neighbour: the note before it or the one after.
    Heard beside(std::size_t note, std::size_t neighbour);

private:
    struct Slice {
        std::vector<float> audio;
        double from_s = 0.0;
        std::span<const float> between(double start_s, double end_s, SampleRate) const;
    };
    Slice listen(std::size_t first, double until_s);
    std::size_t run_up(std::size_t note) const;
    bool slurred_into(std::size_t note) const { return note > 0 && joined_[note - 1]; }

    std::vector<bool> joined_;
    SampleRate rate_;
    Rendering rendering_;
};

} // namespace canebrake
