// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <array>

namespace canebrake::listening
{

/// y = b0·x + b1·x₋₁ + b2·x₋₂ − a1·y₋₁ − a2·y₋₂
struct Biquad {
    double b0 = 1.0, b1 = 0.0, b2 = 0.0, a1 = 0.0, a2 = 0.0;
};

/// The two filters of ITU-R BS.1770, Annex 1: a shelf of +4 dB for what the head does above 1.7 kHz, then a
/// high-pass at 38 Hz. The Recommendation prints coefficients for 48 kHz only and asks for the same response
/// at other rates; so they are made here from the analogue filters those coefficients come from, by the
/// bilinear transform with each corner kept in place. At 48 kHz they are the printed ones to 1e-9. The
/// printed high-pass passes 0.043 dB more than it takes; it does so here at every rate. Rates from 8 kHz.
std::array<Biquad, 2> k_weighting(SampleRate);

} // namespace canebrake::listening
