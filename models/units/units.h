// SPDX-License-Identifier: MIT
#pragma once

#include <cmath>

namespace canebrake
{

/// A number with a unit. Interfaces and data carry these; inside a formula plain doubles carry the unit in
/// their name (`length_m`). Converts to double only through `value`.
template <class Unit> struct Quantity {
    double value = 0.0;
    friend constexpr bool operator==(Quantity, Quantity) = default;
    friend constexpr auto operator<=>(Quantity, Quantity) = default;
    friend constexpr Quantity operator+(Quantity a, Quantity b) { return {a.value + b.value}; }
    friend constexpr Quantity operator-(Quantity a, Quantity b) { return {a.value - b.value}; }
    friend constexpr Quantity operator*(Quantity a, double k) { return {a.value * k}; }
    friend constexpr double operator/(Quantity a, Quantity b) { return a.value / b.value; }
};

using Hertz = Quantity<struct HertzUnit>;
using SampleRate = Quantity<struct SampleRateUnit>; ///< samples per second
using Metres = Quantity<struct MetresUnit>;
using Seconds = Quantity<struct SecondsUnit>;
using Pascals = Quantity<struct PascalsUnit>;
using Celsius = Quantity<struct CelsiusUnit>;
using Cents = Quantity<struct CentsUnit>;       ///< 1/1200 octave
using Decibels = Quantity<struct DecibelsUnit>; ///< 20 log10 of an amplitude ratio

inline namespace literals
{
constexpr Hertz operator""_Hz(long double v)
{
    return {double(v)};
}
constexpr Hertz operator""_Hz(unsigned long long v)
{
    return {double(v)};
}
constexpr SampleRate operator""_sps(unsigned long long v)
{
    return {double(v)};
}
constexpr Metres operator""_mm(long double v)
{
    return {double(v) * 1e-3};
}
constexpr Metres operator""_mm(unsigned long long v)
{
    return {double(v) * 1e-3};
}
constexpr Seconds operator""_s(long double v)
{
    return {double(v)};
}
constexpr Seconds operator""_ms(long double v)
{
    return {double(v) * 1e-3};
}
constexpr Seconds operator""_ms(unsigned long long v)
{
    return {double(v) * 1e-3};
}
constexpr Pascals operator""_kPa(long double v)
{
    return {double(v) * 1e3};
}
constexpr Celsius operator""_degC(long double v)
{
    return {double(v)};
}
constexpr Celsius operator""_degC(unsigned long long v)
{
    return {double(v)};
}
} // namespace literals

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
inline Decibels decibels(double amplitude_ratio)
{
    return {20.0 * std::log10(amplitude_ratio)};
}

} // namespace canebrake
