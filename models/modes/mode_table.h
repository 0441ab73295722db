// SPDX-License-Identifier: MIT
#pragma once

#include "models/bore/resonator.h"

#include <array>
#include <optional>
#include <span>
#include <vector>

namespace canebrake
{

/// Modes a table holds at most. 32 reach 7 kHz or more on every note of a soprano; a bass, twice as long,
/// needs 64 for the same.
inline constexpr std::size_t max_modes = 64;

/// The bore in one state of its holes, as modes. Input impedance over Zc and, for a unit flow at the reed,
/// the flow that leaves (holes and bell summed) and the pressure under the shut register vent:
///
///   Z(s) = Σ C_n/(s − s_n) + c.c. + m₀ s,   U_out(s) = Σ R_n/(s − s_n) + c.c.,   P_vent(s) = Σ D_n/(s − s_n)
///   + c.c.
///
/// m₀ is the inertance of all the modes that were left out: without it single harmonics are 7 dB wrong.
/// All in seconds, at the resonator's own air; another temperature, A4 or lip scales s, C, R and D by one
/// factor.
struct ModeTable {
    HoleState state;
    std::size_t count = 0;
    std::array<Complex, max_modes> pole{};      ///< s_n, 1/s; imaginary part > 0, ascending
    std::array<Complex, max_modes> impedance{}; ///< C_n, 1/s
    std::array<Complex, max_modes> radiation{}; ///< R_n, 1/s
    std::array<Complex, max_modes> vent{};      ///< D_n, 1/s
    double inertance = 0.0;                     ///< m₀, s
    std::size_t vent_hole = 0;                  ///< hole that D_n belongs to
    /// Mode shapes at the holes, pressure 1 at the reed: hole h of mode n at [n * holes + h].
    std::vector<HoleField> shapes;

    Complex impedance_at(Complex s) const;
    Complex radiation_at(Complex s) const;
    double mode_frequency(std::size_t n) const; ///< Hz
};

/// What is looked for. Longer bores than a soprano's have their modes closer together and start lower: all
/// steps and distances of the search shrink with the length, and the scan ends where it has seen enough.
struct ModeSearch {
    double top_hz = 7800.0; ///< no mode is looked for above
    double step_hz = 12.0;  ///< of the first scan along the frequency axis, in a bore of a soprano's length
    std::size_t count = 32; ///< the lowest so many are kept, at most max_modes (Instrument::mode_count)
};

/// Finds the modes of a state from scratch: peaks of |Z| along the axis, Newton on the exact slope with the
/// poles already found divided out, then further looks wherever the poles so far do not explain the
/// impedance, and then the radiated flow. About 6 ms a state of a soprano.
ModeTable find_modes(const Resonator&, HoleState, const ModeSearch& = {});

/// Finds them from a neighbouring state's (Ehrlich–Aberth, all poles at once). Falls back on find_modes where
/// the result does not stand for the direct impedance, which is often: so far it is a check on find_modes and
/// no faster.
ModeTable find_modes_near(const Resonator&, HoleState, const ModeTable& neighbour);

/// The same table with the D_n of another hole: an instrument with several register vents has one set of
/// modes a state and D_n for each vent. D_n = C_n times the shape's pressure under that hole.
ModeTable with_vent(ModeTable, std::size_t hole);

/// Worst |table − direct| of the input impedance over Zc, on a grid of `points` frequencies from 100 Hz to
/// top_hz.
double table_error(const Resonator&, const ModeTable&, double top_hz = 3500.0, int points = 120);

/// Rows of complex numbers in one piece.
class ComplexMatrix
{
public:
    ComplexMatrix() = default;
    ComplexMatrix(std::size_t rows, std::size_t columns) : columns_(columns), values_(rows * columns) {}
    std::span<Complex> operator[](std::size_t row)
    {
        return std::span(values_).subspan(row * columns_, columns_);
    }
    std::span<const Complex> operator[](std::size_t row) const
    {
        return std::span(values_).subspan(row * columns_, columns_);
    }

private:
    std::size_t columns_ = 0;
    std::vector<Complex> values_;
};

/// What a field of modes becomes when the holes jump from state `from` to state `to`: z_to = T z_from + T̄
/// z_from*.
struct Projection {
    std::size_t rows = 0, columns = 0;
    ComplexMatrix direct;    ///< T
    ComplexMatrix conjugate; ///< T̄
    std::size_t bytes() const { return 2 * rows * columns * sizeof(Complex); }
};

/// Pressure and flow of the bore carry over, except the air in holes that change. For modes a of `from` and b
/// of `to` the inner product over everything that does not change is known in closed form: by the bilinear
/// concomitant W = p_a u_b − p_b u_a, dW/dx = (s_a − s_b)·(stored energy density), so that
///
///   T_ba = C_b / (s_a − s_b) · Σ_changed holes (W_reed side − W_bell side)
///
/// exact with losses, radiation and all (their history comes along), and no integral is taken.
Projection project(const ModeTable& from, const ModeTable& to);

} // namespace canebrake
