// SPDX-License-Identifier: MIT
#pragma once

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
inline Dual sqrt(const Dual& a)
{
    const Complex root = std::sqrt(a.v);
    return {root, 0.5 * a.d / root};
}
inline Dual exp(const Dual& a)
{
    const Complex e = std::exp(a.v);
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
