// SPDX-License-Identifier: MIT
#include "engine/listening/k_weighting.h"
#include "engine/listening/tone.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace canebrake
{
namespace listening
{
namespace
{
constexpr double printed_rate = 48000.0;
// The analogue filters behind the printed coefficients: corner, quality, gain. `shelf_middle` is the power of
// the gain that the shelf has at its corner.
constexpr double shelf_hz = 1681.974450955533, shelf_q = 0.7071752369554196, shelf_db = 3.999843853973347;
constexpr double shelf_middle = 0.4996667741545416;
constexpr double high_pass_hz = 38.13547087602444, high_pass_q = 0.5003270373238773;

/// What s stands for in the bilinear transform: s = (1 − z⁻¹) / (k·(1 + z⁻¹)).
double bilinear(double corner_hz, double rate_hz)
{
    return std::tan(std::numbers::pi * std::min(corner_hz / rate_hz, 0.45));
}
double denominator(double k, double q)
{
    return 1.0 + k / q + k * k;
}
} // namespace

std::array<Biquad, 2> k_weighting(SampleRate rate)
{
    const double k = bilinear(shelf_hz, rate.value), d = denominator(k, shelf_q);
    const double high = std::pow(10.0, shelf_db / 20.0), middle = std::pow(high, shelf_middle);
    const Biquad shelf{(high + middle * k / shelf_q + k * k) / d, 2.0 * (k * k - high) / d,
                       (high - middle * k / shelf_q + k * k) / d, 2.0 * (k * k - 1.0) / d,
                       (1.0 - k / shelf_q + k * k) / d};

    const double h = bilinear(high_pass_hz, rate.value), e = denominator(h, high_pass_q);
    const double gain = denominator(bilinear(high_pass_hz, printed_rate), high_pass_q) / e;
    const Biquad high_pass{gain, -2.0 * gain, gain, 2.0 * (h * h - 1.0) / e,
                           (1.0 - h / high_pass_q + h * h) / e};
    return {shelf, high_pass};
}

} // namespace listening

// By the filters themselves and not on a spectrum: it is then the Recommendation's own arithmetic, needs no
// window, takes 20 ms as well as 3 s, and costs ten products a sample.
double loudness_lkfs(std::span<const float> audio, SampleRate rate)
{
    constexpr double offset_db = -0.691, least = -120.0; // the offset undoes the shelf's gain at 1 kHz
    const auto stages = listening::k_weighting(rate);
    std::array<double, 2> first{}, second{}; // what each stage still owes (transposed direct form II)
    double sum = 0.0;
    for (const float sample : audio) {
        double x = double(sample);
        for (std::size_t i = 0; i < stages.size(); ++i) {
            const auto& s = stages[i];
            const double y = s.b0 * x + first[i];
            first[i] = s.b1 * x - s.a1 * y + second[i];
            second[i] = s.b2 * x - s.a2 * y;
            x = y;
        }
        sum += x * x;
    }
    const double power = audio.empty() ? 0.0 : sum / double(audio.size());
    return power > 1e-13 && std::isfinite(power) ? std::max(least, offset_db + 10.0 * std::log10(power))
                                                 : least;
}

} // namespace canebrake
