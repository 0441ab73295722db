// SPDX-License-Identifier: MIT
#pragma once

#include "engine/live/outlet.h"
#include "engine/live/take.h"

#include <condition_variable>
#include <deque>
#include <functional>
#include <future>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <utility>

namespace canebrake
{

/// Plays takes into an outlet, ahead of the device, on a thread of its own. Jumps and changes of take are
/// rendered behind what is in the queue already, and the outlet is told to go over when the first of it is
/// there: what sounded goes on until then. A new take is planned on yet another thread, so that the old one
/// plays on meanwhile, and comes in at the place in the music where the listener is by then.
class LivePlayer
{
public:
    using MakeTake = std::function<std::unique_ptr<Take>()>; ///< called on another thread, one at a time
    using Stretch = std::optional<std::pair<double, double>>;

    /// Begins to render at once, from `from` quarters; takes are numbered from 0 as they come in.
    LivePlayer(std::unique_ptr<Take>, double from, Stretch, Outlet&);
    ~LivePlayer();
    LivePlayer(const LivePlayer&) = delete;
    LivePlayer& operator=(const LivePlayer&) = delete;

    // For one other thread. The newest wish of a kind counts.
    void go_to(double quarter);
    void repeat(Stretch);
    void change(MakeTake);
    bool changing() const; ///< a change was asked for and is not heard yet
    /// Where the listener is: quarters, by what the outlet tells.
    double heard_quarter() const;
    /// Where the next jump counts from: the newest jump's aim until it is heard, then where the listener is.
    double aimed_quarter() const;
    /// Why the last change did not come about, or the music stopped; given once.
    std::optional<std::string> complaint();
    /// Waits until there is enough to begin with, or the music is shorter.
    bool wait_until_ready(Seconds longest);

    static constexpr Seconds ahead{0.8}, enough_to_begin{0.2};
    /// Blocks an outlet's queue needs room for: what is ahead, twice, since a jump comes behind it.
    static std::size_t blocks_needed(SampleRate);

private:
    struct Wishes {
        std::optional<double> quarter;
        std::optional<Stretch> stretch;
        MakeTake make;
        bool stop = false;
        bool any() const { return quarter || stretch || make || stop; }
    };
    /// From one jump to the next.
    struct Pass {
        std::uint32_t number = 0;
        TempoMap tempo;
        double rate = 0.0, from_quarter = 0.0;
    };
    void run();
    void play();
    void obey(Wishes&);
    void begin_pass(double from_quarter);
    void adopt();
    bool render_block();
    bool needs_more() const;

    Outlet& outlet_;
    std::unique_ptr<Take> take_;
    std::uint32_t take_number_ = 0, pass_number_ = 0;
    Stretch stretch_;
    bool ended_ = false, told_ = true; // the outlet was told of this pass
    std::size_t ahead_blocks_, begin_blocks_;
    std::uint64_t pass_blocks_ = 0; // rendered of this pass
    MakeTake make_next_;
    std::future<std::unique_ptr<Take>> coming_;

    mutable std::mutex mutex_; // of what follows
    std::condition_variable something_;
    Wishes wishes_;
    std::deque<Pass> passes_; // the newest last; the one that is heard is among them
    std::optional<std::string> complaint_;
    bool changing_ = false, ready_ = false;
    std::thread thread_; // last: everything is there when it starts
};

} // namespace canebrake
