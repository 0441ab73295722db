// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <memory>
#include <span>
#include <vector>

namespace canebrake::listening
{

struct Period {
    double frequency_hz = 0.0; ///< 0: none
    double clarity = 0.0;      ///< height of the normalised correlation there, 0…1
};

/// Finds the period of a stretch by its normalised correlation with itself a lag τ later,
///
///   ρ(τ) = Σ x[n]·x[n+τ] / √(Σ x[n]² · Σ x[n+τ]²)
///
/// (D. Talkin, "A robust algorithm for pitch tracking", in Speech Coding and Synthesis, 1995). Two roots
/// instead of one mean make it blind to swelling and dying, so an attack counts as periodic. Every multiple
/// of the period stands as high as the period itself, and with a clarinet's odd harmonics a third of it can
/// stand nearly as high: throat notes carry a third harmonic up to 15 dB above the first, ρ(T/3) = 0.95. So
/// the shortest lag is taken whose shortfall 1 − ρ is no more than 1.25 times the least one plus `margin`.
/// `margin` 0.012 tells T from T/3 down to a fundamental 21 dB under the third harmonic.
/// Correlations by FFT; allocates when made, not when used. Not for several threads at once.
class PeriodFinder
{
public:
    PeriodFinder(std::size_t longest_frame, SampleRate, double low_hz, double high_hz, double margin = 0.012);
    ~PeriodFinder();
    PeriodFinder(PeriodFinder&&) noexcept;

    /// Lags over 0.65 of the frame are not looked at: too little is left to compare.
    Period find(std::span<const float> frame);
    /// The highest peak within `cents` of `hz`, in the frame given to `find` last; none if there is no peak.
    Period near(double hz, double cents) const;

private:
    struct Peak {
        double lag = 0.0, height = 0.0;
    };
    void correlate(std::span<const float> frame);
    Peak peak_at(std::size_t lag) const; ///< parabola through three values; `lag` is the highest of them
    Peak highest_between(double low_lag, double high_lag) const;
    Period sharpen(Peak) const; ///< reads the same period from its multiples too

    struct Transform;
    std::unique_ptr<Transform> transform_;
    double rate_hz_ = 48000.0, margin_ = 0.012;
    std::size_t shortest_lag_ = 2, longest_lag_ = 2, lags_ = 0; ///< lags_: how many hold a value now
    std::vector<double> correlation_, energy_until_;
};

} // namespace canebrake::listening
