// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/trill.h"
#include "engine/rendering/rendering.h"

#include <cstdint>
#include <deque>
#include <span>
#include <vector>

namespace canebrake
{

/// A part that changes instrument: one Rendering for each stretch, each on its own instrument, sounding at
/// its own time. Where one rings on into the next they add. With one stretch that starts at 0 it is that
/// Rendering, sample for sample. The same line, settings and seed give the same samples however they are
/// fetched.
class Sequence
{
public:
    explicit Sequence(const RenderSettings& settings) : settings_(settings) {}

    struct Piece {
        const Instrument* instrument = nullptr;
        Line line;             ///< starts at quarter 0
        double offset_s = 0.0; ///< where that lies in the whole
        Rendering rendering;
        std::uint64_t first_sample = 0;
        std::uint64_t at = 0; ///< sample of the rendering that it gives next
    };
    /// Plans the stretch. By offset, before the first `process`. The book may be dropped afterwards.
    void add(TrillBook&, Line, double offset_s);

    const std::deque<Piece>& pieces() const { return pieces_; }
    double duration_s() const;
    std::uint64_t total_samples() const;
    /// Goes to a note of a piece, forwards or back, and starts there as from silence (Rendering::start_at).
    void start_at(std::size_t piece, std::size_t note);
    std::uint64_t position() const { return given_; } ///< of the next sample
    /// Fills `out` from where the last call stopped; returns how many samples were left to give.
    std::size_t process(std::span<float> out);

private:
    RenderSettings settings_;
    std::deque<Piece> pieces_;
    std::uint64_t given_ = 0;
    std::vector<float> block_;
};

} // namespace canebrake
