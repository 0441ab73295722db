// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/spot_report.h"

#include <filesystem>
#include <set>
#include <string>

namespace canebrake
{

/// Spots a writer has accepted, in a file beside the line: LINE.waived.json, schema canebrake-waived, version
/// 1: `waived` and `seen`, lists of keys such as "P5: crossing | bar 12 beat 3 | A4 B4", which stay the same
/// while that place of the music does. `seen` are all the spots there were when the list was last written.
class WaivedList
{
public:
    /// Reads the list beside `line`, if there is one. InputError (Fault::unreadable) if it is damaged.
    explicit WaivedList(const std::filesystem::path& line);

    bool is_there() const { return there_; }
    const std::filesystem::path& path() const { return path_; }

    /// Takes what is waived out of a part's spots and counts it; marks what was not seen before.
    void apply(PartReport&) const;
    /// Adds a spot, with all its places.
    void waive(const PartReport&, const SpotReport&);
    /// Remembers all spots of a part as seen.
    void see(const PartReport&);
    /// Writes it. InputError (Fault::unwritable).
    void write() const;

private:
    std::filesystem::path path_;
    bool there_ = false;
    std::set<std::string> waived_, seen_;
};

} // namespace canebrake
