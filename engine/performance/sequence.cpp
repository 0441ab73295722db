// SPDX-License-Identifier: MIT
#include "engine/performance/sequence.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

void Sequence::add(TrillBook& book, Line line, double offset_s)
{
    Rendering rendering(book, line, settings_);
    const auto first = std::uint64_t(std::llround(offset_s * settings_.rate.value));
    pieces_.push_back({&book.chart().instrument(), std::move(line), offset_s, std::move(rendering), first});
}

double Sequence::duration_s() const
{
    double end = 0.0;
    for (const Piece& piece : pieces_)
        end = std::max(end, piece.offset_s + piece.rendering.duration_s());
    return end;
}

std::uint64_t Sequence::total_samples() const
{
    std::uint64_t end = 0;
    for (const Piece& piece : pieces_)
        end = std::max(end, piece.first_sample + piece.rendering.total_samples());
    return end;
}

std::size_t Sequence::process(std::span<float> out)
{
    const auto wanted = std::size_t(std::min<std::uint64_t>(out.size(), total_samples() - given_));
    out = out.first(wanted);
    std::fill(out.begin(), out.end(), 0.0f);
    for (Piece& piece : pieces_) {
        const std::uint64_t end = piece.first_sample + piece.rendering.total_samples();
        if (piece.first_sample >= given_ + wanted || end <= given_)
            continue;
        const auto from = std::size_t(piece.first_sample > given_ ? piece.first_sample - given_ : 0);
        const auto to = std::size_t(std::min<std::uint64_t>(wanted, end - given_));
        block_.resize(to - from);
        const std::size_t got = piece.rendering.process(block_);
        for (std::size_t i = 0; i < got; ++i)
            out[from + i] += block_[i];
    }
    given_ += wanted;
    return wanted;
}

} // namespace canebrake
