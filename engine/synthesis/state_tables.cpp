// SPDX-License-Identifier: MIT
#include "engine/synthesis/state_tables.h"

#include <cassert>

namespace canebrake
{

namespace
{

constexpr std::size_t most_projection_bytes = 50'000'000; // 33 kB each for a soprano, 131 for a bass

} // namespace

StateTables::StateTables(const Instrument& instrument,
                         const std::optional<std::filesystem::path>& cache_folder)
    : finder_(Resonator(instrument.geometry, breath_air({25.0}), instrument.vent_index),
              {.count = instrument.mode_count}),
      vents_(instrument.vents)
{
    if (cache_folder)
        cache_ = std::make_unique<TableCache>(*cache_folder, instrument.name,
                                              table_key(finder_.bore(), finder_.search()));
}

const ModeTable& StateTables::table(HoleState state, std::size_t vent_number)
{
    assert(vent_number == 0 || vent_number < vents_.size());
    auto& slot = tables_[{state, vent_number}];
    if (slot)
        return *slot;
    if (vent_number > 0) {
        slot = std::make_unique<ModeTable>(with_vent(table(state), vents_[vent_number]));
        return *slot;
    }
    if (const TableCache::Known* known = cache_ ? cache_->find(state) : nullptr) {
        slot = std::make_unique<ModeTable>(table_from_poles(bore(), state, known->poles, known->inertance));
        return *slot;
    }
    slot = std::make_unique<ModeTable>(finder_.find(state));
    ++searched_;
    if (cache_)
        cache_->add(*slot);
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
