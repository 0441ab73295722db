// SPDX-License-Identifier: MIT
#pragma once

#include "engine/live/realtime.h"

#include <atomic>
#include <bit>
#include <cstddef>
#include <vector>

namespace canebrake
{

/// A bounded queue from exactly one thread to exactly one other: a ring whose two counters only ever grow,
/// each moved by one side. Neither side waits for the other: a full queue says so to the writer, an empty one
/// to the reader. Items are filled and read where they lie, so a block of sound is never copied on the way.
/// (Lamport's single-producer ring, with the acquire and release of C++11.)
template <class Item> class Handover
{
public:
    /// Room for at least `most` items. Allocates; everything else is real-time safe.
    explicit Handover(std::size_t most) : items_(std::bit_ceil(most)) {}
    Handover(const Handover&) = delete;
    Handover& operator=(const Handover&) = delete;

    std::size_t capacity() const noexcept { return items_.size(); }
    /// Items written and not yet read; exact on neither side while the other is at work.
    std::size_t size() const noexcept CANEBRAKE_REALTIME
    {
        return written_.load(std::memory_order_acquire) - read_.load(std::memory_order_acquire);
    }

    /// Writer: the next place, nullptr when there is none; then `written()` hands it over.
    Item* place() noexcept CANEBRAKE_REALTIME
    {
        const std::size_t at = written_.load(std::memory_order_relaxed);
        if (at - read_.load(std::memory_order_acquire) == items_.size())
            return nullptr;
        return &items_[at & (items_.size() - 1)];
    }
    void written() noexcept CANEBRAKE_REALTIME
    {
        written_.store(written_.load(std::memory_order_relaxed) + 1, std::memory_order_release);
    }
    bool push(const Item& item) noexcept CANEBRAKE_REALTIME
    {
        Item* const there = place();
        if (there == nullptr)
            return false;
        *there = item;
        written();
        return true;
    }

    /// Reader: the oldest item, nullptr when there is none; then `drop()` gives its place back.
    const Item* front() const noexcept CANEBRAKE_REALTIME
    {
        const std::size_t at = read_.load(std::memory_order_relaxed);
        if (at == written_.load(std::memory_order_acquire))
            return nullptr;
        return &items_[at & (items_.size() - 1)];
    }
    void drop() noexcept CANEBRAKE_REALTIME
    {
        read_.store(read_.load(std::memory_order_relaxed) + 1, std::memory_order_release);
    }

private:
    static constexpr std::size_t apart = 64; // a cache line each, so that the two sides do not disturb
    std::vector<Item> items_;
    alignas(apart) std::atomic<std::size_t> written_{0};
    alignas(apart) std::atomic<std::size_t> read_{0};
};

} // namespace canebrake
