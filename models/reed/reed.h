// SPDX-License-Identifier: MIT
#pragma once

#include <cmath>
#include <complex>

namespace canebrake
{

/// The reed under the lip as one mass, spring and damper, x'' + q ω x' + ω² x = ω² F with F = p − γ, opening
/// 1 + x. Its two poles are advanced exactly for an F that runs straight between samples (first-order hold),
/// so its pitch does not depend on the sample rate. The lay is a clip of the flow's opening, not of the
/// spring.
class Reed
{
public:
    /// `resonance_hz` with the lip on, `damping` q < 2.
    void prepare(double sample_rate, double resonance_hz, double damping) noexcept
    {
        const double T = 1.0 / sample_rate;
        const double omega = 2.0 * 3.14159265358979323846 * resonance_hz;
        const double omega_d = omega * std::sqrt(1.0 - 0.25 * damping * damping);
        const std::complex<double> s{-0.5 * damping * omega, omega_d};
        const std::complex<double> residue = omega * omega / std::complex<double>{0.0, 2.0 * omega_d};
        const auto e = std::exp(s * T);
        a_ = e;
        const auto now = residue * (e - 1.0 - s * T) / (s * s * T);
        const auto before = residue * ((s * T - 1.0) * e + 1.0) / (s * s * T);
        drive_ = a_ * now + before;
        direct_ = 2.0 * now.real();
    }
    void reset() noexcept { y_ = {}; }
    /// Moves to the next sample: the part of x that is already decided.
    double advance(double last_force) noexcept
    {
        y_ = a_ * y_ + drive_ * last_force;
        return 2.0 * y_.real();
    }
    /// What the force of this sample adds to x.
    double direct() const noexcept { return direct_; }

private:
    std::complex<double> a_{}, drive_{}, y_{};
    double direct_ = 0.0;
};

} // namespace canebrake
