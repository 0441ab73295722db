// SPDX-License-Identifier: MIT
#pragma once

#include "engine/live/realtime.h"
#include "models/units/units.h"

#include <cstdint>
#include <vector>

namespace canebrake
{

/// Keeps a sound under a ceiling, and out of the way of all that is under it anyway: while nothing within its
/// look-ahead passes the ceiling its gain is exactly 1, and the sound is the same, bit for bit, later by
/// `latency()`.
///
/// A sample x[n] asks for the gain c/|x[n]| if it passes the ceiling c. The reduction 1 − gain is held for N
/// samples (a sliding maximum), sinks exponentially from there, and is averaged over N + 1 samples, which
/// makes the attack a ramp that arrives just in time:
///
///   g[k] = 1 − (1/(N+1)) · Σ e[j], j = k−N … k,   e[j] = max( max(r[j−N … j]), d·e[j−1] ),   y[k] =
///   g[k]·x[k−N]
///
/// Every e in that mean holds r[k−N], so |y[k]| ≤ c; rounding is clipped. Left out: peaks between the
/// samples, for which the ceiling stays 1 dB below full scale. About 15 ns a sample.
class Limiter
{
public:
    static constexpr Decibels ceiling{-1.0};
    static constexpr Seconds look_ahead{0.0015}, release{0.080};

    /// Allocates.
    explicit Limiter(SampleRate);
    /// Silence in the look-ahead, gain 1.
    void reset() noexcept CANEBRAKE_REALTIME;
    /// One sample in, one out: the one of `latency()` samples ago. What is not a number counts as 0.
    float process(float) noexcept CANEBRAKE_REALTIME;

    std::size_t latency() const noexcept { return delay_; } ///< samples
    /// Samples that passed the ceiling so far.
    std::uint64_t limited() const noexcept { return limited_; }
    float ceiling_amplitude() const noexcept { return most_; }

private:
    struct Held {
        std::uint64_t at;
        double reduction;
    };
    float most_;                    // c
    std::size_t delay_;             // N
    double decay_;                  // d
    std::vector<float> sound_;      // the last N samples
    std::vector<double> reduction_; // the last N + 1 of e
    std::vector<Held> held_;        // for the sliding maximum: falling reductions, oldest first
    std::size_t held_from_ = 0, held_count_ = 0;
    std::size_t sound_at_ = 0, reduction_at_ = 0;
    std::size_t reducing_ = 0; // how many of reduction_ are not 0
    double sum_ = 0.0, last_ = 0.0;
    std::uint64_t now_ = 0, limited_ = 0;
};

} // namespace canebrake
