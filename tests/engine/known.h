// SPDX-License-Identifier: MIT
#pragma once

#include <catch2/catch.hpp>

#include <map>
#include <string>

namespace canebrake
{

/// Limits not met yet: the case, and by how much it was beyond its limit when last measured. Each is named
/// whenever the tests run, may not get a quarter worse, and is to be taken off the list when mended.
using KnownShortfalls = std::map<std::string, double>;

/// Beyond any limit: a note that does not settle on its pitch at all.
inline constexpr double lost = 9999.0;

/// Holds a case to its limit: `beyond` is how far the measured figure lies past it (≤ 0: it is met).
inline void hold(const std::string& name, double measured, double beyond, const KnownShortfalls& known = {})
{
    CAPTURE(name, measured, beyond);
    const auto entry = known.find(name);
    if (entry == known.end()) {
        CHECK(beyond <= 0.0);
    } else if (beyond <= 0.0) {
        WARN("mended, take it off the list: " << name << ", " << measured);
    } else {
        WARN("known shortfall: " << name << ", measured " << measured << ", " << beyond
                                 << " beyond its limit");
        CHECK(beyond <= 1.25 * entry->second + 0.05);
    }
}

} // namespace canebrake
