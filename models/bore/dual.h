// SPDX-License-Identifier: MIT
#pragma once

#include <cmath>
#include <complex>

namespace canebrake
{

using Complex = std::complex<double>;

/// A complex number and its derivative by the complex frequency s, so that each piece of the bore is written
/// once and gives Newton's method and the residues their exact slope (forward-mode differentiation).
struct Dual {
    Complex v{};
    Complex d{};
    Dual() = default;
    Dual(Complex value, Complex slope = {}) : v(value), d(slope) {}
    Dual(double value) : v(value) {}
};

inline Dual operator+(const Dual& a, const Dual& b)
{
    return {a.v + b.v, a.d + b.d};
}
inline Dual operator-(const Dual& a, const Dual& b)
{
    return {a.v - b.v, a.d - b.d};
}
inline Dual operator-(const Dual& a)
{
    return {-a.v, -a.d};
}
inline Dual operator*(const Dual& a, const Dual& b)
{
    return {a.v * b.v, a.v * b.d + a.d * b.v};
}
inline Dual operator*(double k, const Dual& a)
{
    return {k * a.v, k * a.d};
}
inline Dual operator/(const Dual& a, const Dual& b)
{
    const Complex inverse = 1.0 / b.v;
    const Complex q = a.v * inverse;
    return {q, (a.d - q * b.d) * inverse};
}
/// Root and exponential without the library's care for infinities and for numbers near the negative real
/// axis, where no bore's go; right to the last bits, at half the cost.
inline Complex plain_sqrt(Complex a)
{
    const double size = std::sqrt(a.real() * a.real() + a.imag() * a.imag());
    const double real = std::sqrt(0.5 * (size + a.real()));
    return {real, a.imag() / (2.0 * real)};
}
inline Complex plain_exp(Complex a)
{
    const double size = std::exp(a.real());
    return {size * std::cos(a.imag()), size * std::sin(a.imag())};
}
inline Dual plain_sqrt(const Dual& a)
{
    const Complex root = plain_sqrt(a.v);
    return {root, 0.5 * a.d / root};
}
inline Dual plain_exp(const Dual& a)
{
    const Complex e = plain_exp(a.v);
    return {e, e * a.d};
}

/// The frequency as a variable: s itself with slope 1 for Dual, plain s for Complex.
template <class T> T frequency_variable(Complex s);
template <> inline Complex frequency_variable<Complex>(Complex s)
{
    return s;
}
template <> inline Dual frequency_variable<Dual>(Complex s)
{
    return {s, 1.0};
}

} // namespace canebrake
