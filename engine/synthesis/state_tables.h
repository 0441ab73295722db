// SPDX-License-Identifier: MIT
#pragma once

#include "engine/synthesis/table_cache.h"
#include "models/instruments/instrument.h"
#include "models/modes/mode_finder.h"
#include "models/modes/mode_table.h"

#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

namespace canebrake
{

/// Mode tables and projections of one instrument, worked out when first asked for and kept; tables also on
/// disk (TableCache). Temperature, A4 and lip are one factor on a table, so none of them is in the key. Not
/// for several threads at once.
class StateTables
{
public:
    /// With a cache on disk (`table_cache_folder`: the user's), or none.
    explicit StateTables(const Instrument&,
                         const std::optional<std::filesystem::path>& cache_folder = std::nullopt);
    /// `vent_number`: which of Instrument::vents the table couples to (Fingering::vent_number).
    const ModeTable& table(HoleState, std::size_t vent_number = 0);
    const Projection& projection(const ModeTable& from, const ModeTable& to);
    const Resonator& bore() const { return finder_.bore(); }
    std::size_t size() const { return tables_.size(); }
    std::size_t searched() const { return searched_; } ///< states that had to be searched, not read

private:
    ModeFinder finder_;
    std::unique_ptr<TableCache> cache_;
    std::size_t searched_ = 0;
    std::vector<std::size_t> vents_; ///< Instrument::vents
    std::size_t projection_bytes_ = 0;
    std::map<std::pair<HoleState, std::size_t>, std::unique_ptr<ModeTable>> tables_;
    std::map<std::pair<const ModeTable*, const ModeTable*>, std::unique_ptr<Projection>> projections_;
};

} // namespace canebrake
