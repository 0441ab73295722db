// SPDX-License-Identifier: MIT
#pragma once

#include "engine/telling/identity.h"
#include "engine/telling/spot_report.h"

#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// Places a writer has accepted, as a document of the schema canebrake-waived, version 2: lists `waived` and
/// `seen`. A place is known by its content (Identity), so that bars put in or taken out before it change
/// nothing. `seen` are all the places there were when the list was last written. Version 1, whose places are
/// known by bar and beat, is read too, and written as version 2.
class WaivedList
{
public:
    WaivedList() = default; ///< nothing was accepted, nothing was ever seen
    /// Reads a list. InputError (Fault::unreadable) if it is damaged; `name` for its message.
    WaivedList(std::string_view json, const std::string& name);

    /// Takes what is waived out of a part's spots and counts it; marks what was not seen before.
    void apply(PartReport&) const;
    /// Adds spots, by their numbers in the report, with all their places; all without numbers to choose. Then
    /// remembers all there are as seen. `reason`: why, in the writer's words; may be empty.
    void waive(const PartReport&, const std::set<int>& numbers, const std::string& reason);
    std::string json() const;

private:
    struct Entry {
        std::string part, cause, condition; ///< condition: "slurred" or "tongued", if the file does not say
        KnownPlace place;
        std::string reason;
        bool known = true; ///< false: of version 1, `old_key` alone says what it is
        std::string old_key;
    };
    /// A place of a part's report.
    struct Told {
        std::size_t spot = 0;
        const SpotPlace* place = nullptr;
        Entry entry;
    };
    static std::vector<Told> told(const PartReport&);
    static std::vector<const Entry*> matched(const std::vector<Entry>&, const std::vector<Told>&);

    bool there_ = false;
    std::vector<Entry> waived_, seen_;
};

} // namespace canebrake
