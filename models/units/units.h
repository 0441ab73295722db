// SPDX-License-Identifier: MIT
#pragma once

#include <cmath>

namespace canebrake
{

/// A number with a unit, for interfaces that take or give one number which could be taken for another: a
/// frequency for a rate, a gain for a factor, a temperature. Where arithmetic follows at once (geometry, all
/// formulas), a plain double says its unit in its name instead: `length_m`, `decay_s`, `flow_m3ps`. It
/// becomes a double only through `value`.
template <class Unit> struct Quantity {
    double value = 0.0;
    friend constexpr bool operator==(Quantity, Quantity) = default;
    friend constexpr auto operator<=>(Quantity, Quantity) = default;
};

using Hertz = Quantity<struct HertzUnit>;
using SampleRate = Quantity<struct SampleRateUnit>; ///< samples per second
using Seconds = Quantity<struct SecondsUnit>;
using Celsius = Quantity<struct CelsiusUnit>;
using Cents = Quantity<struct CentsUnit>;       ///< 1/1200 octave
using Decibels = Quantity<struct DecibelsUnit>; ///< 20 log10 of an amplitude ratio

/// Cents from `reference` up to `f`; both in Hz and above 0.
inline Cents cents_between(Hertz f, Hertz reference)
{
    return {1200.0 * std::log2(f.value / reference.value)};
}
inline double ratio(Cents c)
{
    return std::exp2(c.value / 1200.0);
}
inline double amplitude(Decibels d)
{
    return std::pow(10.0, d.value / 20.0);
}

} // namespace canebrake
