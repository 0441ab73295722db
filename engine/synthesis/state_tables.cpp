// SPDX-License-Identifier: MIT
#include "engine/synthesis/state_tables.h"

namespace canebrake
{

namespace
{

constexpr std::size_t most_projections = 1500; // 33 kB each

} // namespace

StateTables::StateTables(const Instrument& instrument)
    : bore_(instrument.geometry, breath_air({25.0}), instrument.vent_index)
{
}

const ModeTable& StateTables::table(HoleState state)
{
    auto& slot = tables_[state];
    if (!slot)
        slot = std::make_unique<ModeTable>(find_modes(bore_, state));
    return *slot;
}

const Projection& StateTables::projection(const ModeTable& from, const ModeTable& to)
{
    if (projections_.size() >= most_projections)
        projections_.clear();
    auto& slot = projections_[{&from, &to}];
    if (!slot)
        slot = std::make_unique<Projection>(project(from, to));
    return *slot;
}

} // namespace canebrake
