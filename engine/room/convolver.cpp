// SPDX-License-Identifier: MIT
#include "engine/room/convolver.h"

#include <kissfft/kissfft.hh>

#include <algorithm>

namespace canebrake
{

namespace
{

constexpr std::size_t piece = 1024;
constexpr std::size_t bins = piece + 1; // of a real transform of two pieces

} // namespace

struct Convolver::Transforms {
    kissfft<double> forward{2 * piece, false}, back{2 * piece, true};
    std::vector<Complex> in = std::vector<Complex>(2 * piece), out = std::vector<Complex>(2 * piece);

    void to_spectrum(std::span<const double> time, std::vector<Complex>& half)
    {
        std::copy(time.begin(), time.end(), in.begin());
        forward.transform(in.data(), out.data());
        half.assign(out.begin(), out.begin() + std::ptrdiff_t(bins));
    }
    /// The second half of the real signal with this half spectrum, times 2·piece, in `out`.
    void to_time(std::span<const Complex> half)
    {
        std::copy(half.begin(), half.end(), in.begin());
        for (std::size_t k = 1; k < piece; ++k)
            in[2 * piece - k] = std::conj(half[k]);
        back.transform(in.data(), out.data());
    }
};

Convolver::Convolver(std::span<const double> response)
    : transforms_(std::make_unique<Transforms>()), window_(2 * piece, 0.0)
{
    for (std::size_t at = 0; at < std::max<std::size_t>(1, response.size()); at += piece) {
        std::vector<double> part(2 * piece, 0.0);
        std::copy_n(response.begin() + std::ptrdiff_t(at), std::min(piece, response.size() - at),
                    part.begin());
        transforms_->to_spectrum(part, response_.emplace_back());
    }
    past_.assign(response_.size(), std::vector<Complex>(bins));
}

Convolver::~Convolver() = default;
Convolver::Convolver(Convolver&&) noexcept = default;
Convolver& Convolver::operator=(Convolver&&) noexcept = default;

void Convolver::process(std::span<const float> in, std::vector<float>& out)
{
    while (!in.empty()) {
        const std::size_t n = std::min(in.size(), piece - filled_);
        std::copy_n(in.begin(), n, window_.begin() + std::ptrdiff_t(piece + filled_));
        filled_ += n;
        in = in.subspan(n);
        if (filled_ == piece)
            process_piece(out);
    }
}

void Convolver::process_piece(std::vector<float>& out)
{
    newest_ = (newest_ + past_.size() - 1) % past_.size();
    transforms_->to_spectrum(window_, past_[newest_]);
    std::vector<Complex> sum(bins);
    for (std::size_t p = 0; p < response_.size(); ++p) {
        const auto& then = past_[(newest_ + p) % past_.size()];
        const auto& answer = response_[p];
        for (std::size_t k = 0; k < bins; ++k)
            sum[k] += then[k] * answer[k];
    }
    transforms_->to_time(sum);
    for (std::size_t n = 0; n < piece; ++n)
        out.push_back(float(window_[piece + n] + transforms_->out[piece + n].real() / double(2 * piece)));
    std::copy(window_.begin() + std::ptrdiff_t(piece), window_.end(), window_.begin());
    filled_ = 0;
}

} // namespace canebrake
