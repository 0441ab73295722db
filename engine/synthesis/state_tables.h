// SPDX-License-Identifier: MIT
#pragma once

#include "models/instruments/instrument.h"
#include "models/modes/mode_table.h"

#include <map>
#include <memory>
#include <utility>

namespace canebrake
{

/// Mode tables and projections of one instrument, worked out when first asked for and kept. Temperature, A4
/// and lip are one factor on a table, so none of them is in the key. Not for several threads at once.
class StateTables
{
public:
    explicit StateTables(const Instrument&);
    const ModeTable& table(HoleState);
    const Projection& projection(const ModeTable& from, const ModeTable& to);
    const Resonator& bore() const { return bore_; }
    std::size_t size() const { return tables_.size(); }

private:
    Resonator bore_;
    std::size_t mode_count_;
    std::size_t projection_bytes_ = 0;
    std::map<HoleState, std::unique_ptr<ModeTable>> tables_;
    std::map<std::pair<const ModeTable*, const ModeTable*>, std::unique_ptr<Projection>> projections_;
};

} // namespace canebrake
