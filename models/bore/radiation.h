// SPDX-License-Identifier: MIT
#pragma once

#include "models/bore/dual.h"

namespace canebrake
{

/// Radiation of an open end over the characteristic impedance of its own section, as the causal second-order
/// fit of F. Silva, P. Guillemain, J. Kergomard et al., JSV 322 (2009) 255 (coefficients from memory of open
/// code quoting it):
///
///   Zr/Zc = ( (d1−n1) q + d2 q² ) / ( 2 + (d1+n1) q + d2 q² ),   q = s a / c   (q = jka on the frequency
///   axis)
///
/// Rational in s, so it holds off the axis too; low-frequency length 0.613 a (no flange), 0.82 a (flange).
struct RadiationFit {
    double n1, d1, d2;
};
inline constexpr RadiationFit unflanged{0.167, 1.393, 0.457};
inline constexpr RadiationFit flanged{0.182, 1.825, 0.649};

template <class T> T radiation_impedance(const RadiationFit& fit, const T& q)
{
    const T quadratic = fit.d2 * (q * q);
    return ((fit.d1 - fit.n1) * q + quadratic) / (T(2.0) + (fit.d1 + fit.n1) * q + quadratic);
}

} // namespace canebrake
