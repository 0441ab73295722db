// SPDX-License-Identifier: MIT
#include "engine/listening/period.h"

#include <kissfft/kiss_fftr.h>

#include <algorithm>
#include <cmath>

namespace canebrake::listening
{
namespace
{
constexpr double least_clarity = 0.3;
constexpr double sharpening_span_s = 0.008; // multiples of the period looked at: within what a frame can hold

struct FreePlan {
    void operator()(kiss_fftr_state* plan) const { kiss_fftr_free(plan); }
};
using Plan = std::unique_ptr<kiss_fftr_state, FreePlan>;
} // namespace

struct PeriodFinder::Transform {
    explicit Transform(std::size_t size)
        : time(size), spectrum(size / 2 + 1), forward(kiss_fftr_alloc(int(size), 0, nullptr, nullptr))
    {
    }
    std::vector<float> time;
    std::vector<kiss_fft_cpx> spectrum;
    Plan forward;
};

PeriodFinder::PeriodFinder(std::size_t longest_frame, SampleRate rate, double low_hz, double high_hz,
                           double margin)
    : rate_hz_(rate.value), margin_(margin)
{
    const double frame = double(std::max<std::size_t>(longest_frame, 16));
    shortest_lag_ = std::max<std::size_t>(2, std::size_t(rate.value / high_hz));
    longest_lag_ = std::size_t(std::min(std::ceil(rate.value / low_hz) + 2.0, 0.65 * frame));
    const int size = kiss_fftr_next_fast_size_real(int(std::size_t(frame) + longest_lag_ + 2));
    transform_ = std::make_unique<Transform>(std::size_t(size));
    correlation_.resize(longest_lag_ + 2);
    energy_until_.resize(std::size_t(frame) + 1);
}

PeriodFinder::~PeriodFinder() = default;
PeriodFinder::PeriodFinder(PeriodFinder&&) noexcept = default;

void PeriodFinder::correlate(std::span<const float> frame)
{
    frame = frame.first(std::min(frame.size(), energy_until_.size() - 1));
    const std::size_t size = frame.size();
    lags_ = std::min(longest_lag_ + 2, std::size_t(0.65 * double(size)));
    double mean = 0.0;
    for (const float x : frame)
        mean += double(x);
    mean /= double(std::max<std::size_t>(size, 1));

    Transform& t = *transform_;
    energy_until_[0] = 0.0;
    for (std::size_t n = 0; n < size; ++n) {
        const double x = double(frame[n]) - mean;
        t.time[n] = float(x);
        energy_until_[n + 1] = energy_until_[n] + x * x;
    }
    std::fill(t.time.begin() + std::ptrdiff_t(size), t.time.end(), 0.0F);
    kiss_fftr(t.forward.get(), t.time.data(), t.spectrum.data());
    // The way back is the way there for a spectrum that is real and even: no second plan, which costs more to
    // make than a use of it. Lags never pass half the size.
    for (std::size_t i = 0; i < t.spectrum.size(); ++i) {
        const auto bin = t.spectrum[i];
        t.time[i] = t.time[(t.time.size() - i) % t.time.size()] = bin.r * bin.r + bin.i * bin.i;
    }
    kiss_fftr(t.forward.get(), t.time.data(), t.spectrum.data());

    const double all = energy_until_[size], scale = 1.0 / double(t.time.size());
    for (std::size_t lag = 0; lag < lags_; ++lag) {
        const double energy = std::sqrt(energy_until_[size - lag] * (all - energy_until_[lag]));
        correlation_[lag] =
            energy > 1e-9 * all && all > 0.0 ? double(t.spectrum[lag].r) * scale / energy : 0.0;
    }
}

PeriodFinder::Peak PeriodFinder::peak_at(std::size_t lag) const
{
    const double before = correlation_[lag - 1], here = correlation_[lag], after = correlation_[lag + 1];
    const double bend = before - 2.0 * here + after;
    const double shift = bend < 0.0 ? 0.5 * (before - after) / bend : 0.0;
    return {double(lag) + shift, std::min(1.0, here - 0.25 * (before - after) * shift)};
}

PeriodFinder::Peak PeriodFinder::highest_between(double low_lag, double high_lag) const
{
    Peak best;
    const auto first = std::size_t(std::max(2.0, std::floor(low_lag)));
    for (std::size_t lag = first; lag + 1 < lags_ && double(lag) <= std::ceil(high_lag); ++lag)
        if (correlation_[lag] > correlation_[lag - 1] && correlation_[lag] >= correlation_[lag + 1])
            if (const Peak peak = peak_at(lag); peak.height > best.height)
                best = peak;
    return best;
}

Period PeriodFinder::sharpen(Peak peak) const
{
    double lag = peak.lag;
    for (double m = 2.0; m * lag < std::min(double(lags_) - 2.0, sharpening_span_s * rate_hz_); m += 1.0) {
        const double slack = std::max(1.0, 0.15 * lag);
        const Peak further = highest_between(m * lag - slack, m * lag + slack);
        if (further.lag <= 0.0 || further.height < peak.height - 0.05)
            break;
        lag = further.lag / m;
    }
    return {rate_hz_ / lag, std::clamp(peak.height, 0.0, 1.0)};
}

Period PeriodFinder::find(std::span<const float> frame)
{
    correlate(frame);
    std::size_t first = 1; // past the hill every signal has at lag 0
    while (first < lags_ && correlation_[first] > 0.0)
        ++first;
    first = std::max(first, shortest_lag_);
    double best = 0.0;
    const auto is_peak = [&](std::size_t lag) {
        return correlation_[lag] > correlation_[lag - 1] && correlation_[lag] >= correlation_[lag + 1];
    };
    for (std::size_t lag = first; lag + 1 < lags_; ++lag)
        if (is_peak(lag))
            best = std::max(best, peak_at(lag).height);
    if (best < least_clarity)
        return {};
    const double allowed = 1.0 - (1.25 * (1.0 - best) + margin_);
    for (std::size_t lag = first; lag + 1 < lags_; ++lag)
        if (is_peak(lag))
            if (const Peak peak = peak_at(lag); peak.height >= allowed)
                return sharpen(peak);
    return {};
}

Period PeriodFinder::near(double hz, double cents) const
{
    const double width = std::exp2(cents / 1200.0), lag = rate_hz_ / hz;
    const Peak peak = highest_between(lag / width, lag * width);
    if (peak.height < least_clarity)
        return {};
    const Period found = sharpen(peak);
    return std::abs(1200.0 * std::log2(found.frequency_hz / hz)) <= cents ? found : Period{};
}

} // namespace canebrake::listening
