// SPDX-License-Identifier: MIT
#pragma once

#include <cmath>

namespace canebrake
{

/// Flow through the reed this sample, in closed form (no iteration): Bernoulli through an opening w into a
/// bore that answers p = history + B u (form of Guillemain, Kergomard & Voinier 2005, from memory).
///
///   u = w·sign(Δ)·√|Δ|,  Δ = γ − (history + B·u)
///
///   gamma    mouth pressure / closing pressure
///   history  what the bore would hand back if no air came in now
///   B        what one unit of flow adds to that, this sample; ≥ 0
///   w        embouchure × opening; ≥ 0
[[nodiscard]] inline double reed_flow(double gamma, double history, double B, double w) noexcept
{
    const double drop = gamma - history;
    const double bw2 = B * w * w;
    return std::copysign(0.5 * (std::sqrt(bw2 * bw2 + 4.0 * w * w * std::abs(drop)) - bw2), drop);
}

} // namespace canebrake
