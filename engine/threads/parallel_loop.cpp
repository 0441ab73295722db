// SPDX-License-Identifier: MIT
#include "engine/threads/parallel_loop.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace canebrake
{

namespace
{

using Worker = std::function<void(std::size_t)>;

constexpr std::chrono::milliseconds look_every{20};

/// The items that are left, and what became of the others.
class Items
{
public:
    Items(std::size_t count, unsigned threads) : count_(count), at_work_(threads) {}

    /// Takes items until none is left. `between`: asked before each; false stops everybody.
    void work_off(const std::function<Worker()>& make_worker, const std::function<bool()>& between)
    {
        try {
            const Worker worker = make_worker();
            while (!stopped_) {
                if (between && !between())
                    stop();
                const std::size_t item = next_++;
                if (item >= count_ || stopped_)
                    break;
                worker(item);
                ++done_;
            }
        } catch (...) {
            fail();
        }
        const std::lock_guard lock(mutex_);
        --at_work_;
        one_left_.notify_all();
    }
    /// Asks until nobody works any more.
    void watch(const std::function<bool()>& go_on)
    {
        try {
            do {
                if (!go_on())
                    stop();
            } while (!finished());
        } catch (...) {
            fail();
        }
    }
    std::size_t done() const { return done_; }
    void rethrow() const
    {
        if (fault_)
            std::rethrow_exception(fault_);
    }

private:
    void stop() { stopped_ = true; }
    void fail() // with the exception that is being handled
    {
        const std::lock_guard lock(mutex_);
        if (!fault_)
            fault_ = std::current_exception();
        stop();
    }
    bool finished() // waits a little
    {
        std::unique_lock lock(mutex_);
        return one_left_.wait_for(lock, look_every, [&] { return at_work_ == 0; });
    }

    std::size_t count_;
    std::atomic<std::size_t> next_{0}, done_{0};
    std::atomic<bool> stopped_{false};
    std::mutex mutex_; // for what follows
    std::condition_variable one_left_;
    unsigned at_work_;
    std::exception_ptr fault_;
};

} // namespace

unsigned machine_width()
{
    return std::max(1U, std::thread::hardware_concurrency());
}

void parallel_loop(std::size_t count, const std::function<Worker()>& make_worker, const LoopOptions& options)
{
    if (count == 0)
        return;
    const auto threads = unsigned(std::min<std::size_t>(std::max(1U, options.threads), count));
    Items items(count, threads);
    const auto go_on = [&] { return options.go_on(items.done()); };
    if (threads == 1) {
        items.work_off(make_worker, options.go_on ? std::function<bool()>(go_on) : nullptr);
        items.rethrow();
        return;
    }
    const bool watches = bool(options.go_on); // and leaves the work to others
    std::vector<std::jthread> others;
    for (unsigned i = watches ? 0 : 1; i < threads; ++i)
        others.emplace_back([&] { items.work_off(make_worker, nullptr); });
    if (watches)
        items.watch(go_on);
    else
        items.work_off(make_worker, nullptr);
    others.clear(); // joins them
    items.rethrow();
}

void parallel_loop(std::size_t count, const Worker& work, const LoopOptions& options)
{
    parallel_loop(
        count, [&work] { return work; }, options);
}

} // namespace canebrake
