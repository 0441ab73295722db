// SPDX-License-Identifier: MIT
#include "engine/rendering/sequence.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

void Sequence::add(TrillBook& book, Line line, double offset_s)
{
    Rendering rendering(book, line, settings_);
    const auto first = std::uint64_t(std::llround(offset_s * settings_.rate.value));
    pieces_.push_back(
        {&book.chart().instrument(), std::move(line), offset_s, std::move(rendering), first, 0});
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

void Sequence::start_at(std::size_t piece, std::size_t note)
{
    const auto go = [&](Piece& p, std::size_t n) {
        p.rendering.start_at(n);
        p.at = std::uint64_t(std::llround(p.rendering.position_s() * settings_.rate.value));
    };
    for (std::size_t i = 0; i < pieces_.size(); ++i) {
        Piece& p = pieces_[i];
        if (i < piece)
            p.at = p.rendering.total_samples();
        else if (i == piece)
            go(p, note);
        else if (p.at > 0) // played before: from its beginning again
            go(p, 0);
    }
    given_ = pieces_.at(piece).first_sample + pieces_[piece].at;
}

std::size_t Sequence::process(std::span<float> out)
{
    const auto wanted = std::size_t(std::min<std::uint64_t>(out.size(), total_samples() - given_));
    out = out.first(wanted);
    std::fill(out.begin(), out.end(), 0.0f);
    for (Piece& piece : pieces_) {
        const std::uint64_t begin = piece.first_sample + piece.at;
        const std::uint64_t end = piece.first_sample + piece.rendering.total_samples();
        if (begin >= given_ + wanted || end <= given_ || begin >= end)
            continue;
        const auto from = std::size_t(begin - std::min(begin, given_));
        const auto to = std::size_t(std::min<std::uint64_t>(wanted, end - given_));
        block_.resize(to - from);
        const std::size_t got = piece.rendering.process(block_);
        for (std::size_t i = 0; i < got; ++i)
            out[from + i] += block_[i];
        piece.at += got;
    }
    given_ += wanted;
    return wanted;
}

} // namespace canebrake
