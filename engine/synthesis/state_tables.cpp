// SPDX-License-Identifier: MIT
#include "engine/synthesis/state_tables.h"

namespace canebrake
{

namespace
{

constexpr std::size_t most_projection_bytes = 50'000'000; // 33 kB each for a soprano, 131 for a bass

} // namespace

StateTables::StateTables(const Instrument& instrument)
    : bore_(instrument.geometry, breath_air({25.0}), instrument.vent_index),
      mode_count_(instrument.mode_count)
{
}

const ModeTable& StateTables::table(HoleState state)
{
    auto& slot = tables_[state];
    if (!slot)
        slot = std::make_unique<ModeTable>(find_modes(bore_, state, {.count = mode_count_}));
    return *slot;
}

const Projection& StateTables::projection(const ModeTable& from, const ModeTable& to)
{
    if (projection_bytes_ >= most_projection_bytes) {
        projections_.clear();
        projection_bytes_ = 0;
    }
    auto& slot = projections_[{&from, &to}];
    if (!slot) {
        slot = std::make_unique<Projection>(project(from, to));
        projection_bytes_ += slot->bytes();
    }
    return *slot;
}

} // namespace canebrake
