// SPDX-License-Identifier: MIT
#pragma once

#include "engine/performance/performance.h"
#include "engine/synthesis/state_tables.h"
#include "engine/synthesis/voice.h"

#include <array>
#include <span>

namespace canebrake
{

/// What a keyboard mock-up promises, made with the same physics: each note from a voice of its own that was
/// set going before it is heard, joined to its neighbour by a cross-fade, in tune and even. No finger moves
/// between two notes, so nothing can go wrong there; that is the point of the comparison.
class MockUp
{
public:
    static constexpr double lead_s = 0.30; ///< a voice runs this long before it is heard

    MockUp(const Instrument&, const Performance&, StateTables&, double rate);
    /// Begins again with this note.
    void start_at(std::size_t note);
    /// The tick that starts at `time_s`; times run on.
    void process(double time_s, std::span<double, control_tick> out);

private:
    static constexpr std::size_t voices = 8;
    static constexpr std::size_t none = ~std::size_t{0};
    struct Player {
        Voice voice;
        std::size_t note = none;
        double begun_s = 0.0;
    };
    double weight(std::size_t note, double time_s) const;

    const Instrument& instrument_;
    const Performance& performance_;
    StateTables& tables_;
    double rate_;
    std::array<Player, voices> players_;
    std::size_t first_ = 0; // note it starts with
    std::size_t next_ = 0;  // the next note to set going
};

} // namespace canebrake
