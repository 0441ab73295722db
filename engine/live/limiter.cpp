// SPDX-License-Identifier: MIT
#include "engine/live/limiter.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

namespace
{

constexpr double inaudible = 1e-6; // a reduction of 0.00001 dB ends the release

} // namespace

Limiter::Limiter(SampleRate rate)
    : most_(float(amplitude(ceiling))), delay_(std::size_t(std::lround(look_ahead.value * rate.value))),
      decay_(std::exp(-1.0 / (release.value * rate.value))), sound_(delay_), reduction_(delay_ + 1),
      held_(delay_ + 1)
{
}

void Limiter::reset() noexcept
{
    std::fill(sound_.begin(), sound_.end(), 0.0f);
    std::fill(reduction_.begin(), reduction_.end(), 0.0);
    held_count_ = reducing_ = 0;
    sum_ = last_ = 0.0;
}

float Limiter::process(float x) noexcept
{
    if (!std::isfinite(x))
        x = 0.0f;
    double wanted = 0.0;
    if (std::abs(x) > most_) {
        wanted = 1.0 - double(most_) / std::abs(double(x));
        ++limited_;
    }
    // The sliding maximum over the last N + 1 samples: what is no greater than the newest can go.
    const auto slot = [&](std::size_t i) -> Held& { return held_[(held_from_ + i) % held_.size()]; };
    if (held_count_ > 0 && slot(0).at + delay_ < now_) {
        held_from_ = (held_from_ + 1) % held_.size();
        --held_count_;
    }
    if (wanted > 0.0) {
        while (held_count_ > 0 && slot(held_count_ - 1).reduction <= wanted)
            --held_count_;
        slot(held_count_++) = {now_, wanted};
    }
    double e = std::max(held_count_ > 0 ? slot(0).reduction : 0.0, last_ * decay_);
    if (e < inaudible)
        e = 0.0;
    last_ = e;

    double& oldest = reduction_[reduction_at_];
    reducing_ += std::size_t(e != 0.0) - std::size_t(oldest != 0.0);
    sum_ = reducing_ == 0 ? 0.0 : sum_ + e - oldest; // exactly 0 again, whatever was rounded
    oldest = e;
    reduction_at_ = (reduction_at_ + 1) % reduction_.size();

    std::swap(x, sound_[sound_at_]); // now the one of N samples ago
    sound_at_ = (sound_at_ + 1) % sound_.size();
    ++now_;
    if (reducing_ == 0)
        return x;
    const double gain = 1.0 - sum_ / double(reduction_.size());
    return std::clamp(float(gain * double(x)), -most_, most_);
}

} // namespace canebrake
