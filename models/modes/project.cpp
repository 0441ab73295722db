// SPDX-License-Identifier: MIT
#include "models/modes/mode_table.h"

#include <bit>
#include <cassert>
#include <cmath>

namespace canebrake
{

Projection project(const ModeTable& from, const ModeTable& to)
{
    const std::size_t holes = from.count ? from.shapes.size() / from.count : 0;
    assert(to.count == 0 || to.shapes.size() / to.count == holes);
    const std::uint32_t changed = (from.state.open ^ to.state.open) | (from.state.half ^ to.state.half);
    Projection result;
    result.rows = to.count;
    result.columns = from.count;
    result.direct = result.conjugate = ComplexMatrix(result.rows, result.columns);
    for (std::size_t b = 0; b < to.count; ++b)
        for (std::size_t a = 0; a < from.count; ++a) {
            Complex direct{}, conjugate{};
            for (std::uint32_t rest = changed; rest != 0; rest &= rest - 1) {
                const auto h = std::size_t(std::countr_zero(rest));
                const auto& fa = from.shapes[a * holes + h];
                const auto& fb = to.shapes[b * holes + h];
                const auto concomitant = [](const Field<Complex>& p, const Field<Complex>& q) {
                    return p.pressure * q.flow - q.pressure * p.flow;
                };
                const auto mirrored = [&](const Field<Complex>& p, const Field<Complex>& q) {
                    return std::conj(p.pressure) * q.flow - q.pressure * std::conj(p.flow);
                };
                direct += concomitant(fa.reed_side, fb.reed_side) - concomitant(fa.bell_side, fb.bell_side);
                conjugate += mirrored(fa.reed_side, fb.reed_side) - mirrored(fa.bell_side, fb.bell_side);
            }
            const Complex apart = from.pole[a] - to.pole[b];
            // A mode that the change does not reach (a pressure node under every changed hole) keeps itself.
            result.direct[b][a] = std::abs(apart) < 1e-7 * std::abs(to.pole[b])
                                      ? Complex{1.0, 0.0}
                                      : to.impedance[b] * direct / apart;
            result.conjugate[b][a] = to.impedance[b] * conjugate / (std::conj(from.pole[a]) - to.pole[b]);
        }
    return result;
}

} // namespace canebrake
