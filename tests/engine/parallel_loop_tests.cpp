// SPDX-License-Identifier: MIT
#include "engine/threads/parallel_loop.h"

#include <catch2/catch.hpp>

#include <atomic>
#include <chrono>
#include <set>
#include <stdexcept>
#include <thread>
#include <vector>

using namespace canebrake;

TEST_CASE("a parallel loop does each item once, however many threads there are", "[threads][invariant]")
{
    for (const unsigned threads : {0u, 1u, 2u, 7u})
        for (const std::size_t count : {std::size_t{0}, std::size_t{1}, std::size_t{5}, std::size_t{1000}}) {
            CAPTURE(threads, count);
            std::vector<std::atomic<int>> times(count);
            parallel_loop(count, [&](std::size_t i) { ++times[i]; }, {threads, {}});
            for (const auto& done : times)
                REQUIRE(done == 1);
        }
    CHECK(machine_width() >= 1);
}

TEST_CASE("with one thread a parallel loop stays on the thread that called it, in order", "[threads]")
{
    std::set<std::thread::id> seen;
    std::vector<std::size_t> order;
    parallel_loop(4,
                  [&](std::size_t i) {
                      seen.insert(std::this_thread::get_id());
                      order.push_back(i);
                  },
                  {1, {}});
    CHECK(seen == std::set{std::this_thread::get_id()});
    CHECK(order == std::vector<std::size_t>{0, 1, 2, 3});
}

TEST_CASE("a parallel loop makes one worker a thread", "[threads]")
{
    std::atomic<int> made{0}, items{0};
    const auto worker = [&] {
        ++made;
        return [&](std::size_t) { ++items; };
    };
    parallel_loop(100, worker, {3, {}});
    CHECK(made == 3);
    CHECK(items == 100);
}

TEST_CASE("what an item throws comes out of the loop, and no more items are begun", "[threads]")
{
    for (const unsigned threads : {1u, 3u}) {
        CAPTURE(threads);
        std::atomic<std::size_t> begun{0};
        const auto work = [&](std::size_t i) {
            ++begun;
            if (i == 0)
                throw std::runtime_error("the first");
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
        };
        CHECK_THROWS_WITH(parallel_loop(2000, work, {threads, {}}), "the first");
        CHECK(begun < 1000);
        const auto no_worker = []() -> std::function<void(std::size_t)> { throw std::runtime_error("none"); };
        CHECK_THROWS_WITH(parallel_loop(5, no_worker, {threads, {}}), "none");
        begun = 0;
        const auto broken = [](std::size_t) -> bool { throw std::runtime_error("broken off"); };
        const auto slow = [&](std::size_t) {
            ++begun;
            std::this_thread::sleep_for(std::chrono::milliseconds(5));
        };
        CHECK_THROWS_WITH(parallel_loop(2000, slow, {threads, broken}), "broken off");
        CHECK(begun < 1000);
    }
}

TEST_CASE("a parallel loop tells how much is done, and stops when it is told to", "[threads]")
{
    for (const unsigned threads : {1u, 2u}) {
        CAPTURE(threads);
        const auto caller = std::this_thread::get_id();
        std::vector<std::size_t> told;
        std::atomic<std::size_t> begun{0};
        LoopOptions options{threads, {}};
        options.go_on = [&](std::size_t done) {
            CHECK(std::this_thread::get_id() == caller);
            CHECK((told.empty() || told.back() <= done));
            told.push_back(done);
            return told.size() < 3;
        };
        parallel_loop(
            2000,
            [&](std::size_t) {
                ++begun;
                std::this_thread::sleep_for(std::chrono::milliseconds(5));
            },
            options);
        CHECK(told.size() >= 3);
        CHECK(begun < 1000);
    }
}
