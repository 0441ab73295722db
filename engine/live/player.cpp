// SPDX-License-Identifier: MIT
#include "engine/live/player.h"

#include <algorithm>
#include <chrono>
#include <cmath>

namespace canebrake
{

namespace
{

constexpr auto nap = std::chrono::milliseconds(4);
constexpr std::size_t most_passes = 16; // a listener cannot be further behind

std::size_t blocks(Seconds s, SampleRate rate)
{
    return std::size_t(std::ceil(s.value * rate.value / double(SoundBlock::longest)));
}

} // namespace

std::size_t LivePlayer::blocks_needed(SampleRate rate)
{
    return 2 * blocks(ahead, rate) + 2;
}

LivePlayer::LivePlayer(std::unique_ptr<Take> take, double from, Stretch stretch, Outlet& outlet)
    : outlet_(outlet), take_(std::move(take)), stretch_(stretch), ahead_blocks_(blocks(ahead, take_->rate())),
      begin_blocks_(blocks(enough_to_begin, take_->rate()))
{
    take_->repeat(stretch_);
    if (from > 0.0)
        take_->go_to(from);
    passes_.push_back({0, take_->tempo(), take_->rate().value, from});
    thread_ = std::thread([this] { run(); });
}

LivePlayer::~LivePlayer()
{
    {
        const std::lock_guard lock(mutex_);
        wishes_.stop = true;
    }
    something_.notify_all();
    thread_.join();
}

void LivePlayer::go_to(double quarter)
{
    const std::lock_guard lock(mutex_);
    wishes_.quarter = quarter;
    something_.notify_all();
}

void LivePlayer::repeat(Stretch stretch)
{
    const std::lock_guard lock(mutex_);
    wishes_.stretch = stretch;
    something_.notify_all();
}

void LivePlayer::change(MakeTake make)
{
    const std::lock_guard lock(mutex_);
    wishes_.make = std::move(make);
    changing_ = true;
    something_.notify_all();
}

bool LivePlayer::changing() const
{
    const std::lock_guard lock(mutex_);
    return changing_;
}

double LivePlayer::heard_quarter() const
{
    const Outlet::Heard heard = outlet_.heard();
    const std::lock_guard lock(mutex_);
    for (auto pass = passes_.rbegin(); pass != passes_.rend(); ++pass)
        if ((pass->number & 0xFFFF) == heard.pass)
            return heard == Outlet::Heard{} ? pass->from_quarter
                                            : pass->tempo.quarter_at(double(heard.place) / pass->rate);
    return passes_.back().from_quarter;
}

double LivePlayer::aimed_quarter() const
{
    const std::uint32_t heard = outlet_.heard().pass;
    {
        const std::lock_guard lock(mutex_);
        if (wishes_.quarter)
            return *wishes_.quarter;
        if ((passes_.back().number & 0xFFFF) != heard)
            return passes_.back().from_quarter;
    }
    return heard_quarter();
}

std::optional<std::string> LivePlayer::complaint()
{
    const std::lock_guard lock(mutex_);
    return std::exchange(complaint_, {});
}

bool LivePlayer::wait_until_ready(Seconds longest)
{
    std::unique_lock lock(mutex_);
    return something_.wait_for(lock, std::chrono::duration<double>(longest.value), [&] { return ready_; });
}

bool LivePlayer::needs_more() const
{
    return !ended_ && (outlet_.sound().size() < ahead_blocks_ || !told_);
}

void LivePlayer::run()
{
    try {
        play();
    } catch (const std::exception& error) { // no memory for a table, say: the music ends here
        std::unique_lock lock(mutex_);
        complaint_ = error.what();
        ready_ = true;
        while (outlet_.sound().place() == nullptr && !wishes_.stop)
            something_.wait_for(lock, nap);
        if (SoundBlock* const block = outlet_.sound().place()) {
            block->count = 0;
            block->last = true;
            block->pass = pass_number_;
            outlet_.sound().written();
        }
        outlet_.follow(pass_number_);
    }
}

void LivePlayer::play()
{
    for (;;) {
        Wishes wishes;
        {
            std::unique_lock lock(mutex_);
            if (!wishes_.any() && !needs_more())
                something_.wait_for(lock, nap);
            wishes = std::exchange(wishes_, {});
        }
        if (wishes.stop) {
            if (coming_.valid())
                coming_.wait();
            return;
        }
        obey(wishes);
        if (coming_.valid() && coming_.wait_for(std::chrono::seconds(0)) == std::future_status::ready)
            adopt();
        if (make_next_ && !coming_.valid())
            coming_ = std::async(std::launch::async, std::exchange(make_next_, {}));
        const bool full = needs_more() && !render_block();
        if (!told_ && (pass_blocks_ >= begin_blocks_ / 4 || full || ended_)) {
            outlet_.follow(pass_number_);
            told_ = true;
        }
        if (pass_blocks_ >= begin_blocks_ || ended_) {
            const std::lock_guard lock(mutex_);
            if (!ready_)
                something_.notify_all();
            ready_ = true;
        }
        if (full)
            std::this_thread::sleep_for(nap);
    }
}

void LivePlayer::obey(Wishes& wishes)
{
    if (wishes.make)
        make_next_ = std::move(wishes.make);
    const bool inward = wishes.stretch && *wishes.stretch;
    if (wishes.stretch) {
        stretch_ = *wishes.stretch;
        take_->repeat(stretch_);
    }
    if (wishes.quarter) {
        take_->go_to(*wishes.quarter);
        begin_pass(*wishes.quarter);
    } else if (inward) { // what was rendered ahead may lie beyond its end already
        const double heard = heard_quarter();
        const double from = heard >= stretch_->first && heard < stretch_->second ? heard : stretch_->first;
        if (take_->sample_at(stretch_->second) <= take_->position() || from != heard) {
            from == heard ? take_->take_over_at(from) : take_->go_to(from);
            begin_pass(from);
        }
    } else if (wishes.stretch && take_->sample_at(heard_quarter()) > take_->position()) {
        const double heard = heard_quarter(); // it has turned back already where the listener goes on
        take_->take_over_at(heard);
        begin_pass(heard);
    }
}

/// The new take goes on where the listener is, or is about to be.
void LivePlayer::adopt()
{
    std::unique_ptr<Take> next;
    std::string why;
    try {
        next = coming_.get();
    } catch (const std::exception& error) {
        why = error.what();
    }
    const double heard = heard_quarter();
    if (!next) {
        const std::lock_guard lock(mutex_);
        complaint_ = why;
        changing_ = changing_ && (wishes_.make || make_next_);
        return;
    }
    take_ = std::move(next);
    ++take_number_;
    take_->repeat(stretch_);
    take_->take_over_at(heard);
    begin_pass(heard);
    const std::lock_guard lock(mutex_);
    changing_ = wishes_.make || make_next_;
}

void LivePlayer::begin_pass(double from_quarter)
{
    ++pass_number_;
    pass_blocks_ = 0;
    ended_ = told_ = false;
    const std::lock_guard lock(mutex_);
    passes_.push_back({pass_number_, take_->tempo(), take_->rate().value, from_quarter});
    if (passes_.size() > most_passes)
        passes_.pop_front();
}

/// False if the queue is full.
bool LivePlayer::render_block()
{
    SoundBlock* const block = outlet_.sound().place();
    if (block == nullptr)
        return false;
    block->pass = pass_number_;
    block->take = take_number_;
    block->place = take_->position();
    block->count = std::uint32_t(take_->process(block->samples));
    block->last = ended_ = block->count < block->samples.size();
    outlet_.sound().written();
    ++pass_blocks_;
    return true;
}

} // namespace canebrake
