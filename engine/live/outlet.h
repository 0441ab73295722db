// SPDX-License-Identifier: MIT
#pragma once

#include "engine/live/handover.h"
#include "engine/live/limiter.h"

#include <array>
#include <atomic>
#include <cstdint>
#include <span>

namespace canebrake
{

/// A stretch of rendered sound on its way to the device.
struct SoundBlock {
    static constexpr std::size_t longest = 256;
    std::array<float, longest> samples;
    std::uint32_t count = 0;
    std::uint32_t pass = 0;  ///< counts up with every jump, so that what is out of date can be told
    std::uint32_t take = 0;  ///< whose sound it is
    std::uint64_t place = 0; ///< of the first sample, in that take
    bool last = false;       ///< the music ends with it
};

/// What the one who listens wants.
struct Order {
    enum class Kind : std::uint8_t {
        go,    ///< sound, from where it stands
        pause, ///< fade out and stay there
        tacet, ///< the same at once: faded in 3 ms, and the next `go` starts as quietly as the first
        gain,  ///< another loudness, in 50 ms
        end    ///< fade out and be over
    } kind = Kind::go;
    float gain = 1.0f; ///< amplitude, for Kind::gain
};

/// The end that the audio device pulls: takes blocks of rendered sound from a bounded queue and orders from
/// another, fades, turns down, limits, and counts what came late. Three threads meet here and none waits: the
/// renderer (`sound`, `follow`), the one who listens (`order`, `heard`, the counts), the device (`process`).
///
/// The order of things is sound · gain → limiter → fade. With gain 1, after the opening fade and below the
/// limiter's ceiling, samples come out as they went in, `latency()` later.
class Outlet
{
public:
    /// Where in the music the device is.
    struct Heard {
        std::uint32_t pass = 0, take = 0;
        std::uint64_t place = 0;
        friend bool operator==(const Heard&, const Heard&) = default;
    };
    enum class State : std::uint8_t { waiting, sounding, paused, tacet, over };
    struct Recorded {
        static constexpr std::size_t longest = 1024;
        std::array<float, longest> samples;
        std::uint32_t count = 0;
    };
    static constexpr Seconds opening_fade{0.400}, entry_fade{0.015}, jump_fade{0.012}, pause_fade{0.030},
        tacet_fade{0.003}, closing_fade{0.050}, gain_ramp{0.050};

    /// Allocates everything. `blocks`: how far the renderer may be ahead, at most. `record`: what goes out is
    /// kept for `recorded()`.
    Outlet(SampleRate, float gain, std::size_t blocks, bool record);

    // The renderer's side.
    Handover<SoundBlock>& sound() { return sound_; }
    void follow(std::uint32_t pass) { wanted_pass_.store(pass, std::memory_order_release); }

    // The listener's side.
    bool order(const Order& order) { return orders_.push(order); } ///< false: too many at once
    Heard heard() const;
    State state() const { return state_.load(std::memory_order_acquire); }
    std::uint64_t late_blocks() const { return late_.load(std::memory_order_relaxed); }
    std::uint64_t limited() const { return limited_.load(std::memory_order_relaxed); }
    std::uint64_t not_recorded() const { return not_recorded_.load(std::memory_order_relaxed); } ///< samples
    std::uint64_t samples_out() const { return out_.load(std::memory_order_relaxed); } ///< that sounded
    Handover<Recorded>& recorded() { return recorded_; }
    std::size_t latency() const { return limiter_.latency(); } ///< samples, from `sound` to `process`

    /// The device's side: fills `out`, mono. Nothing to play is silence, and counted where there should have
    /// been something.
    void process(std::span<float> out) noexcept CANEBRAKE_REALTIME;

private:
    enum class Then : std::uint8_t { go_on, wait, pause, tacet, end }; // after a fade out
    void obey() noexcept CANEBRAKE_REALTIME;
    void obey(const Order&) noexcept CANEBRAKE_REALTIME;
    void enter() noexcept CANEBRAKE_REALTIME;
    void leave(Then, double seconds) noexcept CANEBRAKE_REALTIME;
    bool jump_is_due() const noexcept CANEBRAKE_REALTIME;
    bool take_up() noexcept CANEBRAKE_REALTIME;
    bool fetch(float&) noexcept CANEBRAKE_REALTIME;
    float next() noexcept CANEBRAKE_REALTIME;
    void after_fade() noexcept CANEBRAKE_REALTIME;
    void tell(const SoundBlock&) noexcept CANEBRAKE_REALTIME;
    void keep(std::span<const float>) noexcept CANEBRAKE_REALTIME;

    double rate_;
    bool record_;
    Limiter limiter_;
    Handover<SoundBlock> sound_;
    Handover<Order> orders_;
    Handover<Recorded> recorded_;
    std::atomic<std::uint32_t> wanted_pass_{0};
    std::atomic<std::uint64_t> heard_{0};
    std::atomic<State> state_{State::waiting};
    std::atomic<std::uint64_t> late_{0}, limited_{0}, not_recorded_{0}, out_{0};

    // Below: the device's thread alone.
    State now_ = State::waiting;
    bool going_ = false, gently_ = true, last_seen_ = false, lacking_ = false, begun_ = false;
    Then then_ = Then::go_on;
    bool leaving_ = false;
    double fade_ = 0.0, fade_step_ = 0.0; // 0 silent … 1
    float gain_, gain_wanted_, gain_step_ = 0.0f;
    std::uint32_t pass_ = 0;
    std::size_t block_at_ = 0; // in the queue's first block
    std::size_t ringing_ = 0;  // samples the limiter still holds at the end
};

} // namespace canebrake
