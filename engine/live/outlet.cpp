// SPDX-License-Identifier: MIT
#include "engine/live/outlet.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

namespace
{

// Heard in one word, so that it is read whole: 12 bits of take, 16 of pass, 36 of place (99 h at 192 kHz).
constexpr std::uint64_t pack(std::uint32_t take, std::uint32_t pass, std::uint64_t place)
{
    return std::uint64_t(take & 0xFFF) << 52 | std::uint64_t(pass & 0xFFFF) << 36 | (place & 0xFFFFFFFFF);
}

} // namespace

Outlet::Outlet(SampleRate rate, float gain, std::size_t blocks, bool record)
    : rate_(rate.value), record_(record), limiter_(rate), sound_(blocks), orders_(64),
      recorded_(record ? 512 : 1), gain_(gain), gain_wanted_(gain)
{
}

Outlet::Heard Outlet::heard() const
{
    const std::uint64_t all = heard_.load(std::memory_order_acquire);
    return {std::uint32_t(all >> 36 & 0xFFFF), std::uint32_t(all >> 52), all & 0xFFFFFFFFF};
}

void Outlet::tell(const SoundBlock& block) noexcept
{
    heard_.store(pack(block.take, block.pass, block.place + block_at_), std::memory_order_release);
}

void Outlet::obey() noexcept
{
    for (std::size_t left = orders_.capacity(); left > 0; --left) {
        const Order* const order = orders_.front();
        if (order == nullptr)
            return;
        obey(*order);
        orders_.drop();
    }
}

void Outlet::obey(const Order& order) noexcept
{
    if (now_ == State::over)
        return;
    switch (order.kind) {
    case Order::Kind::go:
        going_ = true;
        if (leaving_ && (then_ == Then::pause || then_ == Then::tacet)) // turn round on the way out
            enter();
        else if (now_ != State::sounding)
            now_ = State::waiting;
        return;
    case Order::Kind::pause:
    case Order::Kind::tacet: {
        const bool at_once = order.kind == Order::Kind::tacet;
        going_ = false;
        gently_ = gently_ || at_once;
        if (now_ == State::sounding)
            leave(at_once ? Then::tacet : Then::pause, at_once ? tacet_fade.value : pause_fade.value);
        else
            now_ = at_once ? State::tacet : State::paused;
        return;
    }
    case Order::Kind::gain:
        gain_wanted_ = std::clamp(order.gain, 0.0f, 1.0f);
        gain_step_ = (gain_wanted_ - gain_) / float(gain_ramp.value * rate_);
        return;
    case Order::Kind::end:
        going_ = false;
        if (now_ == State::sounding)
            leave(Then::end, closing_fade.value);
        else
            now_ = State::over;
        return;
    }
}

/// Starts to sound, or turns round from fading out.
void Outlet::enter() noexcept
{
    now_ = State::sounding;
    leaving_ = false;
    fade_step_ = 1.0 / ((gently_ ? opening_fade.value : entry_fade.value) * rate_);
    gently_ = false;
}

void Outlet::leave(Then then, double seconds) noexcept
{
    leaving_ = true;
    then_ = then;
    fade_step_ = std::min(fade_step_ < 0.0 ? fade_step_ : 0.0, -1.0 / (seconds * rate_));
}

void Outlet::after_fade() noexcept
{
    leaving_ = false;
    fade_ = fade_step_ = 0.0;
    switch (then_) {
    case Then::pause:
        now_ = State::paused;
        break;
    case Then::tacet:
        now_ = State::tacet;
        break;
    case Then::end:
        now_ = State::over;
        break;
    default:
        now_ = State::waiting;
        if (then_ == Then::go_on && going_ && take_up()) // a jump: what comes next is there already
            enter();
        break;
    }
}

/// Drops what is out of date; true if there is something to play.
bool Outlet::take_up() noexcept
{
    const std::uint32_t wanted = wanted_pass_.load(std::memory_order_acquire);
    for (std::size_t left = sound_.capacity(); left > 0; --left) {
        const SoundBlock* const block = sound_.front();
        if (block == nullptr)
            return false;
        if (block->pass == wanted) {
            if (pass_ != wanted) {
                limiter_.reset(); // what it holds belongs to the place that was left
                block_at_ = 0;
                last_seen_ = false;
                pass_ = wanted;
            }
            tell(*block);
            return true;
        }
        sound_.drop();
        block_at_ = 0;
    }
    return false;
}

bool Outlet::fetch(float& x) noexcept
{
    const SoundBlock* block = sound_.front();
    if (block == nullptr || block->pass != pass_)
        return false;
    if (block_at_ == 0)
        tell(*block);
    x = block_at_ < block->count ? block->samples[block_at_] : 0.0f;
    if (++block_at_ >= block->count) {
        last_seen_ = block->last;
        ringing_ = limiter_.latency();
        block_at_ = 0;
        sound_.drop();
    }
    return true;
}

float Outlet::next() noexcept
{
    float x = 0.0f;
    if (last_seen_) {
        if (ringing_ == 0) {
            now_ = State::over;
            return 0.0f;
        }
        --ringing_;
    } else if (!fetch(x)) {
        const bool jumps = jump_is_due();
        lacking_ = lacking_ || !jumps;
        if (!leaving_) // goes out with what the limiter still holds
            leave(jumps ? Then::go_on : Then::wait, double(limiter_.latency()) / rate_);
    }
    if (gain_ != gain_wanted_) {
        gain_ += gain_step_;
        if ((gain_step_ >= 0.0f) == (gain_ >= gain_wanted_))
            gain_ = gain_wanted_;
    }
    const float y = limiter_.process(x * gain_);
    if (fade_ == 1.0 && fade_step_ >= 0.0)
        return y;
    fade_ += fade_step_;
    if (fade_ >= 1.0) {
        fade_ = 1.0;
        fade_step_ = 0.0;
        return y;
    }
    const auto shape = float(fade_ * fade_ * (3.0 - 2.0 * fade_)); // no corner at either end
    if (fade_ <= 0.0) {
        after_fade();
        return 0.0f;
    }
    return y * shape;
}

void Outlet::process(std::span<float> out) noexcept
{
    obey();
    lacking_ = false;
    if (now_ == State::sounding && !leaving_ && jump_is_due())
        leave(Then::go_on, jump_fade.value);
    if (now_ == State::waiting || now_ == State::paused || now_ == State::tacet) {
        const bool there = take_up(); // also while it is silent: the place to go on from is shown
        if (now_ == State::waiting && going_) {
            if (there)
                enter();
            else
                lacking_ = begun_;
        }
    }
    std::size_t sounded = 0;
    for (std::size_t i = 0; i < out.size(); ++i) {
        if (now_ == State::sounding) {
            out[i] = next();
            sounded = i + 1;
        } else {
            out[i] = 0.0f;
        }
    }
    begun_ = begun_ || sounded > 0;
    if (lacking_)
        late_.fetch_add(1, std::memory_order_relaxed);
    limited_.store(limiter_.limited(), std::memory_order_relaxed);
    out_.fetch_add(sounded, std::memory_order_relaxed);
    if (record_ && sounded > 0)
        keep(out.first(sounded));
    state_.store(now_, std::memory_order_release);
}

bool Outlet::jump_is_due() const noexcept
{
    return wanted_pass_.load(std::memory_order_acquire) != pass_;
}

void Outlet::keep(std::span<const float> sound) noexcept
{
    while (!sound.empty()) { // each turn takes a piece off
        const std::size_t n = std::min(sound.size(), Recorded::longest);
        Recorded* const kept = recorded_.place();
        if (kept == nullptr) {
            not_recorded_.fetch_add(sound.size(), std::memory_order_relaxed);
            return;
        }
        std::copy_n(sound.begin(), n, kept->samples.begin());
        kept->count = std::uint32_t(n);
        recorded_.written();
        sound = sound.subspan(n);
    }
}

} // namespace canebrake
