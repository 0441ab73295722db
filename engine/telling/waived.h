// SPDX-License-Identifier: MIT
#pragma once

#include "engine/telling/spot_report.h"

#include <set>
#include <string>
#include <string_view>

namespace canebrake
{

/// Spots a writer has accepted, as a document of the schema canebrake-waived, version 1: `waived` and `seen`,
/// lists of keys such as "P5: crossing | bar 12 beat 3 | A4 B4", which stay the same while that place of the
/// music does. `seen` are all the spots there were when the list was last written.
class WaivedList
{
public:
    WaivedList() = default; ///< nothing was accepted, nothing was ever seen
    /// Reads a list. InputError (Fault::unreadable) if it is damaged; `name` for its message.
    WaivedList(std::string_view json, const std::string& name);

    /// Takes what is waived out of a part's spots and counts it; marks what was not seen before.
    void apply(PartReport&) const;
    /// Adds a spot, with all its places.
    void waive(const PartReport&, const SpotReport&);
    /// Remembers all spots of a part as seen.
    void see(const PartReport&);
    std::string json() const;

private:
    bool there_ = false;
    std::set<std::string> waived_, seen_;
};

} // namespace canebrake
