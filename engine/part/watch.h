// SPDX-License-Identifier: MIT
#pragma once

#include <functional>

namespace canebrake
{

/// Thrown out of a long piece of work that its watcher does not want any more. Nothing was changed.
struct BrokenOff {
};

/// Whoever waits for a long piece of work: hears how far it is, and may break it off. Both are called from
/// the thread that works, often, and must be quick; either may be missing.
struct Watch {
    std::function<void(double done, double whole)> progress{}; ///< both in one unit, done ≤ whole
    std::function<bool()> stop{};                              ///< true: break off

    void tell(double done, double whole) const
    {
        if (progress)
            progress(done, whole);
    }
    /// Throws BrokenOff if the work is not wanted any more.
    void check() const
    {
        if (stop && stop())
            throw BrokenOff{};
    }
};

} // namespace canebrake
