// SPDX-License-Identifier: MIT
#pragma once

#include "models/modes/mode_table.h"

#include <array>

namespace canebrake
{

/// One hole state sounding: its modes advanced exactly for a flow that runs straight between samples.
///
///   z[k+1] = a z[k] + b₁ u[k] + b₀ u[k+1];  kept as y = z − b₀ u, so that y[k+1] = a y[k] + (a b₀ + b₁) u[k]
///
/// Structure of arrays, padded to max_modes with silent modes.
struct Bank {
    using Row = std::array<double, max_modes>;

    const ModeTable* table = nullptr;
    double weight = 0.0;       ///< share of the bore's pressure and of the sound, now
    double weight_step = 0.0;  ///< per sample
    double weight_goal = 0.0;  ///< at the next control tick
    double start_weight = 0.0; ///< when the present fade began
    alignas(32) Row yr{}, yi{};
    alignas(32) Row ar{}, ai{}, cr{}, ci{}; ///< a, and a b₀ + b₁
    alignas(32) Row dr{}, di{};             ///< what one unit of vent flow takes away
    alignas(32) Row qr{}, qi{};             ///< 2 s R/C: the radiated flow's rate of change
    alignas(32) Row er{}, ei{};             ///< 2 D/C: pressure under the vent
    Row b0r{}, b0i{}, inverse_c{};          ///< b₀, 1/|C|
    double self = 0.0;                      ///< B: 2 Re Σ b₀ + m₀/T
    double inertance = 0.0;                 ///< m₀/T
    double out_direct = 0.0;                ///< output per unit of this sample's flow
    double out_vent = 0.0;                  ///< output per unit of vent flow
    std::size_t used = 0;                   ///< modes, rounded up to a multiple of 4

    /// Coefficients for a table scaled by `factor` (lip, temperature, A4) at a rate; `lean_mode` is damped
    /// `lean` times.
    void set(const ModeTable&, double factor, double sample_rate, int lean_mode, double lean,
             double extra_loss);
    void silence();
    Complex mode(std::size_t n, double flow) const { return {yr[n] + b0r[n] * flow, yi[n] + b0i[n] * flow}; }
    void set_mode(std::size_t n, Complex z, double flow);
    /// Σ |z|²/|C|, in the units that make p·u power.
    double energy(double flow) const;
    void scale(double k, double flow);

    struct Sums {
        double pressure, sound, vent;
    };
    /// One sample on, driven by the last flow and vent flow: sums of what is already decided.
    Sums advance(double flow, double vent_flow, bool vented) noexcept;

private:
    template <bool vented> Sums advance_all(double flow, double vent_flow) noexcept;
};

} // namespace canebrake
