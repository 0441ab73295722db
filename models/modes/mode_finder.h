// SPDX-License-Identifier: MIT
#pragma once

#include "models/modes/mode_table.h"

#include <algorithm>
#include <numbers>
#include <span>
#include <vector>

namespace canebrake
{

/// The search for modes, state after state of one bore. What the scan along the frequency axis needs of the
/// bore does not depend on which holes are open: it is worked out once and kept (2.5 MB for a soprano), so
/// that a state costs a third of what it would alone: 2 to 3 ms for a soprano's 32 modes. Not for several
/// threads at once.
class ModeFinder
{
public:
    explicit ModeFinder(Resonator, const ModeSearch& = {});
    /// Peaks of |Z| along the axis, Newton on the exact slope with the poles already found divided out, then
    /// further looks wherever the poles so far do not explain the impedance, and then the radiated flow.
    ModeTable find(HoleState);
    const Resonator& bore() const { return bore_; }
    const ModeSearch& search() const { return search_; }

private:
    class Search;
    const BoreAt& on_line(std::size_t); ///< of the scan
    const BoreAt& on_axis(std::size_t); ///< where m₀ is fitted

    Resonator bore_;
    ModeSearch search_;
    double fine_; ///< the search's distances over a soprano's
    std::vector<BoreAt> line_, axis_;
};

/// A pole with all that a table holds of it.
struct Mode {
    Complex pole, impedance, radiation, vent;
    std::vector<HoleField> shape;
};
Mode mode_at(const Resonator&, HoleState, Complex pole);

/// A table of finished modes, in order; m₀ is still to come.
ModeTable table_of(const Resonator&, HoleState, std::span<const Mode>);

/// The table that find gave, from its poles and m₀ alone: bit for bit, in a tenth of the time.
ModeTable table_from_poles(const Resonator&, HoleState, std::span<const Complex> poles, double inertance);

/// Where m₀ is fitted.
inline double inertance_hz(std::size_t i)
{
    return 145.0 * double(i + 1);
}

/// m₀ of a table from what its modes leave of the direct impedance, which is asked at 145, 290 … 3480 Hz, as
/// far as the modes reach. `direct(i)`: at 145 (i + 1) Hz.
template <class Direct> double fitted_inertance(const ModeTable& table, const Direct& direct)
{
    const double reach_hz = table.count ? 0.9 * table.mode_frequency(table.count - 1) : 0.0;
    double numerator = 0.0, denominator = 0.0;
    for (std::size_t i = 0; i < 24 && inertance_hz(i) < reach_hz; ++i) {
        const double omega = 2.0 * std::numbers::pi * inertance_hz(i);
        numerator += omega * (direct(i) - table.impedance_at({0.0, omega})).imag();
        denominator += omega * omega;
    }
    return denominator > 0.0 ? std::max(0.0, numerator / denominator) : 0.0;
}

/// All distances along the frequency axis that a search takes, over those for a soprano: 1, less for longer
/// bores.
double search_fineness(const Resonator&);

} // namespace canebrake
