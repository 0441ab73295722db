// SPDX-License-Identifier: MIT
#pragma once

#include <cstddef>
#include <functional>

namespace canebrake
{

/// As many as the machine runs at once, 1 or more.
unsigned machine_width();

struct LoopOptions {
    unsigned threads = machine_width(); ///< at most so many work
    /// Asked by the calling thread, at first and then every 20 ms (between items, if one thread is all) with
    /// how many items are done; false: no more are begun, and the loop returns.
    std::function<bool(std::size_t done)> go_on{};
};

/// Does each item 0 … count − 1 once, in no order. The first exception stops the loop and is thrown again
/// here. With one thread nothing is started: all runs on the calling one.
void parallel_loop(std::size_t count, const std::function<void(std::size_t item)>& work,
                   const LoopOptions& = {});

/// The same with workers that keep something to themselves: `make_worker` is called once on each thread, and
/// what it returns does that thread's items.
void parallel_loop(std::size_t count,
                   const std::function<std::function<void(std::size_t item)>()>& make_worker,
                   const LoopOptions& = {});

} // namespace canebrake
