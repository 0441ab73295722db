// SPDX-License-Identifier: MIT
#include "engine/live/handover.h"
#include "engine/live/limiter.h"
#include "engine/live/outlet.h"
#include "tests/support/counted_new.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <thread>
#include <vector>

using namespace canebrake;

namespace
{

constexpr SampleRate rate{48000.0};

std::vector<float> noise(std::size_t samples, float peak, unsigned seed = 1)
{
    std::mt19937 random(seed);
    std::uniform_real_distribution<float> between(-peak, peak);
    std::vector<float> sound(samples);
    for (float& x : sound)
        x = between(random);
    return sound;
}

/// Puts sound into an outlet's queue, as a renderer does.
void feed(Outlet& outlet, std::span<const float> sound, std::uint32_t pass = 0, bool last = true,
          std::uint64_t place = 0)
{
    while (!sound.empty()) {
        SoundBlock* const block = outlet.sound().place();
        REQUIRE(block != nullptr);
        const std::size_t n = std::min(sound.size(), SoundBlock::longest);
        std::copy_n(sound.begin(), n, block->samples.begin());
        sound = sound.subspan(n);
        block->count = std::uint32_t(n);
        block->pass = pass;
        block->take = 0;
        block->place = place;
        block->last = last && sound.empty();
        place += n;
        outlet.sound().written();
    }
}

std::vector<float> pull(Outlet& outlet, std::size_t samples, std::size_t block = 512)
{
    std::vector<float> out(samples, 9.0f);
    for (std::size_t at = 0; at < samples; at += block)
        outlet.process(std::span(out).subspan(at, std::min(block, samples - at)));
    return out;
}

std::size_t samples(Seconds s)
{
    return std::size_t(std::ceil(s.value * rate.value));
}

/// The most that is heard of a stretch.
float peak(std::span<const float> sound)
{
    float most = 0.0f;
    for (const float x : sound)
        most = std::max(most, std::abs(x));
    return most;
}

} // namespace

TEST_CASE("a full queue says so, an empty one too, and what is in it keeps its order", "[live][queue]")
{
    Handover<int> queue(3);
    CHECK(queue.capacity() == 4);
    CHECK(queue.front() == nullptr);
    for (int i = 0; i < 4; ++i)
        CHECK(queue.push(i));
    CHECK_FALSE(queue.push(4));
    CHECK(queue.place() == nullptr);
    for (int round = 0; round < 1000; ++round) {
        REQUIRE(queue.front() != nullptr);
        CHECK(*queue.front() == round);
        queue.drop();
        CHECK(queue.push(round + 4));
        CHECK(queue.size() == 4);
    }
}

TEST_CASE("two threads hand over half a million items, none lost, none torn, none twice", "[live][queue]")
{
    struct Pair {
        std::uint64_t one = 0, other = 0;
    };
    constexpr std::uint64_t many = 500'000;
    Handover<Pair> queue(64);
    std::thread writer([&] {
        for (std::uint64_t i = 0; i < many;)
            if (queue.push({i, ~i}))
                ++i;
            else
                std::this_thread::yield();
    });
    bool right = true;
    for (std::uint64_t i = 0; i < many;) {
        const Pair* const item = queue.front();
        if (item == nullptr) {
            std::this_thread::yield();
            continue;
        }
        right = right && item->one == i && item->other == ~i;
        queue.drop();
        ++i;
    }
    writer.join();
    CHECK(right);
    CHECK(queue.front() == nullptr);
}

TEST_CASE("under its ceiling the limiter changes no bit, and is late by what it says", "[live][limiter][law]")
{
    Limiter limiter(rate);
    CHECK(double(limiter.latency()) == Approx(Limiter::look_ahead.value * rate.value).margin(0.5));
    std::vector<float> sound = noise(100'000, limiter.ceiling_amplitude());
    sound[500] = limiter.ceiling_amplitude(); // the ceiling itself is under it
    std::vector<float> out;
    for (const float x : sound)
        out.push_back(limiter.process(x));
    CHECK(limiter.limited() == 0);
    bool same = true;
    for (std::size_t i = limiter.latency(); i < out.size(); ++i)
        same = same && out[i] == sound[i - limiter.latency()];
    CHECK(same);
    CHECK(peak(std::span(out).first(limiter.latency())) == 0.0f);
}

TEST_CASE("nothing passes the limiter's ceiling", "[live][limiter][law]")
{
    const float huge = std::numeric_limits<float>::max(), none = std::numeric_limits<float>::quiet_NaN();
    const std::vector<std::pair<std::string, std::function<float(std::size_t)>>> sounds{
        {"noise four times too loud", [n = noise(48000, 4.0f)](std::size_t i) { return n[i]; }},
        {"one sample a hundred times too loud", [](std::size_t i) { return i == 20'000 ? 100.0f : 0.1f; }},
        {"a square wave", [](std::size_t i) { return i / 50 % 2 == 0 ? 3.0f : -3.0f; }},
        {"the highest pitch there is", [](std::size_t i) { return i % 2 == 0 ? 1.5f : -1.5f; }},
        {"peaks further apart than the look-ahead", [](std::size_t i) { return i % 100 == 0 ? 2.0f : 0.5f; }},
        {"peaks nearer than the look-ahead, each louder",
         [](std::size_t i) { return i % 31 == 0 ? 1.0f + float(i) / 5000.0f : 0.0f; }},
        {"the largest number there is", [=](std::size_t i) { return i % 500 == 0 ? huge : 0.01f; }},
        {"no number at all", [=](std::size_t i) { return i % 500 == 0 ? none : 0.9f; }},
        {"infinity",
         [](std::size_t i) { return i % 500 == 0 ? -std::numeric_limits<float>::infinity() : 0.9f; }},
    };
    for (const auto& [name, sound] : sounds) {
        CAPTURE(name);
        Limiter limiter(rate);
        float most = 0.0f;
        bool finite = true;
        for (std::size_t i = 0; i < 48000; ++i) {
            const float y = limiter.process(sound(i));
            finite = finite && std::isfinite(y);
            most = std::max(most, std::abs(y));
        }
        CHECK(finite);
        CHECK(most <= limiter.ceiling_amplitude());
    }
}

TEST_CASE("after a peak the limiter's gain comes back at its release and is exactly 1 again",
          "[live][limiter][law]")
{
    Limiter limiter(rate);
    const std::size_t at = 1000, n = limiter.latency();
    std::vector<float> gain;
    for (std::size_t i = 0; i < 120'000; ++i) {
        const float y = limiter.process(i == at ? 2.0f : 0.25f);
        gain.push_back(y / 0.25f);
    }
    const auto of = [&](std::size_t input) { return double(gain[input + n]); };
    CHECK(of(at - n - 1) == 1.0); // the look-ahead has not met it yet
    for (std::size_t i = at - n + 1; i < at; ++i)
        CHECK(of(i) <= of(i - 1));                               // a ramp, without a step
    const double down = 1.0 - amplitude(Limiter::ceiling) / 2.0; // the reduction that 2.0 asks for
    CHECK(1.0 - of(at - 1) == Approx(down).epsilon(0.03));
    // One release later a reduction is an e-th of what it was. It is held for N and averaged over N + 1.
    const auto later = std::size_t(Limiter::release.value * rate.value);
    CHECK(1.0 - of(at + n + later) == Approx(down * std::exp(-1.0)).epsilon(0.03));
    CHECK(of(at + 2 * n + 15 * later) == 1.0);
}

TEST_CASE("it starts quietly, and after the opening fade the sound comes out as it went in, bit for bit, "
          "whatever the device's blocks",
          "[live][outlet][law]")
{
    const std::vector<float> sound = noise(40'000, 0.8f);
    std::vector<float> first;
    for (const std::size_t block : {64, 512, 480, 1000, 40'000}) {
        CAPTURE(block);
        Outlet outlet(rate, 1.0f, 200, false);
        feed(outlet, sound);
        REQUIRE(outlet.order({Order::Kind::go}));
        const std::vector<float> out = pull(outlet, 44'000, block);
        const std::size_t late = outlet.latency(), fade = samples(Outlet::opening_fade);
        for (std::size_t i = late + 1; i < fade; ++i) // never louder than the sound, and very soft at first
            REQUIRE(std::abs(out[i]) <= std::abs(sound[i - late]));
        CHECK(peak(std::span(out).first(fade / 10)) < 0.03f); // −30 dB after 40 ms
        bool same = true;
        for (std::size_t i = fade; i < sound.size() + late; ++i)
            same = same && out[i] == sound[i - late];
        CHECK(same);
        CHECK(peak(std::span(out).subspan(sound.size() + late)) == 0.0f);
        CHECK(outlet.state() == Outlet::State::over);
        CHECK(outlet.late_blocks() == 0);
        if (first.empty())
            first = out;
        const bool as_in_other_blocks = out == first;
        CHECK(as_in_other_blocks);
    }
}

TEST_CASE("a pause fades out in 30 ms and goes on with the very next sample", "[live][outlet]")
{
    const std::vector<float> sound = noise(60'000, 0.8f);
    Outlet outlet(rate, 1.0f, 300, false);
    feed(outlet, sound);
    outlet.order({Order::Kind::go});
    pull(outlet, 512 * 50);
    outlet.order({Order::Kind::pause});
    const std::size_t fade = samples(Outlet::pause_fade);
    const std::vector<float> going = pull(outlet, 512 * 4);
    CHECK(outlet.state() == Outlet::State::paused);
    CHECK(peak(std::span(going).subspan(fade)) == 0.0f);
    CHECK(peak(std::span(going).first(fade / 4)) > 0.5f);
    CHECK(peak(pull(outlet, 512 * 20)) == 0.0f);
    const std::uint64_t stands = outlet.heard().place;
    outlet.order({Order::Kind::go});
    const std::vector<float> again = pull(outlet, 512 * 8);
    const std::size_t in = samples(Outlet::entry_fade);
    bool same = true;
    // What was asked for of the sound until the pause, and what the limiter holds of it, comes first.
    for (std::size_t i = in; i < again.size(); ++i)
        same = same && again[i] == sound[stands + i - outlet.latency()];
    CHECK(same);
    CHECK(outlet.late_blocks() == 0);
}

TEST_CASE("tacet is silence within 3 ms, and what follows starts as quietly as the first time",
          "[live][outlet]")
{
    Outlet outlet(rate, 1.0f, 400, false);
    feed(outlet, noise(100'000, 0.8f));
    outlet.order({Order::Kind::go});
    pull(outlet, 512 * 50);
    outlet.order({Order::Kind::tacet});
    const std::vector<float> going = pull(outlet, 512);
    CHECK(peak(std::span(going).subspan(samples(Outlet::tacet_fade))) == 0.0f);
    CHECK(outlet.state() == Outlet::State::tacet);
    outlet.order({Order::Kind::go});
    const std::vector<float> again = pull(outlet, samples(Outlet::opening_fade) + 512);
    CHECK(peak(std::span(again).first(samples(Outlet::opening_fade) / 10)) < 0.03f);
    CHECK(peak(std::span(again).last(512)) > 0.5f);

    SECTION("also in the middle of a slower fade")
    {
        outlet.order({Order::Kind::end});
        outlet.order({Order::Kind::tacet});
        const std::vector<float> out = pull(outlet, 512);
        CHECK(peak(std::span(out).subspan(samples(Outlet::tacet_fade))) == 0.0f);
    }
}

TEST_CASE("asked to end, it fades out in 50 ms and is over for good", "[live][outlet]")
{
    Outlet outlet(rate, 1.0f, 300, false);
    feed(outlet, noise(60'000, 0.8f));
    outlet.order({Order::Kind::go});
    pull(outlet, 512 * 50);
    outlet.order({Order::Kind::end});
    const std::vector<float> out = pull(outlet, 512 * 8);
    const std::size_t fade = samples(Outlet::closing_fade);
    CHECK(peak(std::span(out).subspan(fade)) == 0.0f);
    CHECK(peak(std::span(out).first(fade / 4)) > 0.5f);
    CHECK(outlet.state() == Outlet::State::over);
    outlet.order({Order::Kind::go});
    CHECK(peak(pull(outlet, 512 * 2)) == 0.0f);
    CHECK(outlet.state() == Outlet::State::over);

    Outlet never_begun(rate, 1.0f, 4, false);
    never_begun.order({Order::Kind::end});
    pull(never_begun, 64);
    CHECK(never_begun.state() == Outlet::State::over);
}

TEST_CASE("sound that comes late is silence, counted, and comes back from quiet", "[live][outlet]")
{
    const std::vector<float> sound = noise(40'000, 0.8f);
    Outlet outlet(rate, 1.0f, 200, false);
    outlet.order({Order::Kind::go});
    pull(outlet, 512 * 4);
    CHECK(outlet.late_blocks() == 0); // nothing was promised yet
    feed(outlet, std::span(sound).first(25'600), 0, false);
    pull(outlet, 25'600, 256);
    CHECK(outlet.late_blocks() == 0);
    const std::vector<float> dry = pull(outlet, 512 * 3);
    CHECK(outlet.late_blocks() == 3);
    CHECK(peak(std::span(dry).subspan(outlet.latency())) == 0.0f);
    feed(outlet, std::span(sound).subspan(25'600), 0, true, 25'600);
    const std::vector<float> back = pull(outlet, 512 * 4);
    CHECK(outlet.late_blocks() == 3);
    CHECK(std::abs(back[outlet.latency() + 2]) < 0.05f);
    const std::size_t in = samples(Outlet::entry_fade);
    bool same = true;
    for (std::size_t i = in; i < back.size(); ++i)
        same = same && back[i] == sound[25'600 + i - outlet.latency()];
    CHECK(same);
}

TEST_CASE("a jump fades out, drops what is out of date, and goes on with the new place's first sample",
          "[live][outlet]")
{
    const std::vector<float> old = noise(60'000, 0.8f, 1), fresh = noise(60'000, 0.8f, 2);
    Outlet outlet(rate, 1.0f, 600, false);
    feed(outlet, old, 0, false);
    feed(outlet, fresh, 1, true, 1'000'000);
    outlet.order({Order::Kind::go});
    pull(outlet, 512 * 50);
    CHECK(outlet.heard().pass == 0);
    outlet.follow(1);
    const std::vector<float> out = pull(outlet, 512 * 20);
    CHECK(outlet.heard().pass == 1);
    CHECK(outlet.heard().place >= 1'000'000);
    CHECK(outlet.late_blocks() == 0);
    const auto gone = std::size_t(std::lround(Outlet::jump_fade.value * rate.value));
    const std::size_t in = gone + samples(Outlet::entry_fade);
    bool same = true;
    for (std::size_t i = in + 1; i < out.size(); ++i)
        same = same && (out[i] == fresh[i - gone - outlet.latency()]);
    CHECK(same);

    SECTION("paused, it stands at the new place and waits there")
    {
        outlet.order({Order::Kind::pause});
        pull(outlet, 512 * 4);
        feed(outlet, old, 2, true, 2'000'000);
        outlet.follow(2);
        CHECK(peak(pull(outlet, 512)) == 0.0f);
        CHECK(outlet.heard().place == 2'000'000);
        outlet.order({Order::Kind::go});
        CHECK(peak(pull(outlet, 4096)) > 0.5f);
    }
}

TEST_CASE("a new loudness is reached within 50 ms, without a step, and 0 dB is exactly 1", "[live][outlet]")
{
    const std::vector<float> sound(100'000, 0.5f);
    Outlet outlet(rate, 0.25f, 400, false);
    feed(outlet, sound);
    outlet.order({Order::Kind::go});
    const std::vector<float> soft = pull(outlet, 512 * 50);
    CHECK(soft.back() == 0.125f);
    outlet.order({Order::Kind::gain, 1.0f});
    const std::vector<float> out = pull(outlet, 512 * 8);
    float step = 0.0f;
    for (std::size_t i = 1; i < out.size(); ++i)
        step = std::max(step, out[i] - out[i - 1]);
    CHECK(step < 0.0002f);
    CHECK(out.back() == 0.5f);
    outlet.order({Order::Kind::gain, 7.0f}); // louder than the rendering is not to be had
    CHECK(pull(outlet, 512 * 8).back() == 0.5f);
}

TEST_CASE("the recording holds what went out, without the pauses, and says what it missed", "[live][outlet]")
{
    Outlet outlet(rate, 0.5f, 1200, true);
    feed(outlet, noise(280'000, 1.9f));
    outlet.order({Order::Kind::go});
    std::vector<float> heard, kept;
    const auto play = [&](std::size_t blocks) {
        for (; blocks > 0; --blocks) {
            std::vector<float> block = pull(outlet, 300, 300);
            if (outlet.state() == Outlet::State::sounding)
                heard.insert(heard.end(), block.begin(), block.end());
            while (const Outlet::Recorded* const r = outlet.recorded().front()) {
                kept.insert(kept.end(), r->samples.begin(), r->samples.begin() + r->count);
                outlet.recorded().drop();
            }
        }
    };
    play(100);
    const bool as_heard = kept == heard;
    CHECK(as_heard);
    CHECK(outlet.samples_out() == heard.size());
    CHECK(outlet.not_recorded() == 0);
    outlet.order({Order::Kind::pause});
    play(50);
    const std::size_t so_far = kept.size();
    CHECK(so_far - heard.size() <= samples(Outlet::pause_fade) + 1);
    play(50);
    CHECK(kept.size() == so_far);
    outlet.order({Order::Kind::go});
    pull(outlet, 600 * 300, 300); // nobody fetches
    CHECK(outlet.not_recorded() > 0);
}

TEST_CASE("the audio callback allocates nothing, whatever is asked of it", "[live][outlet][realtime]")
{
    Outlet outlet(rate, 1.0f, 400, true);
    std::vector<float> out(64);
    std::uint64_t allocated = 0;
    std::size_t calls = 0;
    const auto run = [&](std::size_t blocks) {
        for (; blocks > 0; --blocks) {
            const std::uint64_t before = allocations_here();
            outlet.process(out);
            allocated += allocations_here() - before;
            ++calls;
        }
    };
    const std::vector<float> sound = noise(50'000, 2.0f); // over the ceiling: the limiter works
    run(3);
    feed(outlet, sound, 0, false);
    for (const Order& order : {Order{Order::Kind::go},
                               {Order::Kind::pause},
                               {Order::Kind::go},
                               {Order::Kind::tacet},
                               {Order::Kind::go},
                               {Order::Kind::gain, 0.5f},
                               {Order::Kind::pause},
                               {Order::Kind::tacet},
                               {Order::Kind::go}}) {
        outlet.order(order);
        run(7);
    }
    run(1000); // runs dry; the recording's queue fills too
    CHECK(outlet.late_blocks() > 0);
    feed(outlet, sound, 1, false);
    outlet.follow(1);
    run(30);
    feed(outlet, std::span(sound).first(20'000), 2, true);
    outlet.follow(2);
    run(20);
    outlet.order({Order::Kind::end});
    run(500);
    CHECK(outlet.state() == Outlet::State::over);
    CHECK(outlet.limited() > 0);
    CHECK(outlet.not_recorded() > 0);
    CHECK(calls > 1500);
    CHECK(allocated == 0);
    // The counter does count.
    const std::uint64_t before = allocations_here();
    void* const more = ::operator new(100); // called as a function: a compiler may not leave it out
    CHECK(allocations_here() > before);
    ::operator delete(more);
}
