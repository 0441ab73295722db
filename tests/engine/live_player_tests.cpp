// SPDX-License-Identifier: MIT
#include "engine/live/player.h"
#include "tests/engine/rendered.h"

#include <catch2/catch.hpp>

#include <chrono>
#include <stdexcept>
#include <thread>

using namespace canebrake;

namespace
{

const char* const four_bars =
    "tempo 120 meter 2/4 mf 1/8 G4_A4_Bb4_C5 bar D5 C5 1/4 A4 bar 1/8 E4 G4 C5 E5 bar 1/2 C4";

RenderSettings live_settings(Player player = Player::studio)
{
    RenderSettings settings = settings_of(player);
    settings.kit.level = player;
    return settings;
}

Sequence sequence_of(const std::string& phrase, const RenderSettings& settings)
{
    TrillBook book(b_flat_soprano(), settings.kit);
    Sequence sequence(settings);
    sequence.add(book, line_of(phrase), 0.0);
    return sequence;
}

std::unique_ptr<Take> take_of(const std::string& phrase, const RenderSettings& settings = live_settings())
{
    return std::make_unique<Take>(sequence_of(phrase, settings), line_of(phrase).tempo, settings.rate);
}

std::vector<float> all_of(Take& take, std::size_t block = 256, std::size_t most = 1'000'000)
{
    std::vector<float> sound;
    std::vector<float> part(block);
    for (;;) {
        const std::size_t got = take.process(part);
        sound.insert(sound.end(), part.begin(), part.begin() + std::ptrdiff_t(got));
        if (got < block || sound.size() >= most)
            return sound;
    }
}

std::vector<float> whole(const std::string& phrase, const RenderSettings& settings = live_settings())
{
    Sequence sequence = sequence_of(phrase, settings);
    std::vector<float> sound(sequence.total_samples());
    sequence.process(sound);
    return sound;
}

/// Where two sounds part; −1: nowhere.
long difference(std::span<const float> a, std::span<const float> b)
{
    for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i)
        if (a[i] != b[i])
            return long(i);
    return a.size() == b.size() ? -1 : long(std::min(a.size(), b.size()));
}

double decibels_of(std::span<const float> sound)
{
    double sum = 0.0;
    for (const float x : sound)
        sum += double(x) * double(x);
    return 10.0 * std::log10(sum / double(sound.size()) + 1e-20);
}

/// Pulls like a device that has all the time in the world: waits until something is there.
void pull_patiently(Outlet& outlet, std::span<float> out)
{
    for (int tries = 0; outlet.sound().size() < 4 && tries < 1000; ++tries)
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    outlet.process(out);
}

} // namespace

TEST_CASE("a take played from its beginning gives the samples of the rendering", "[live][take][twin]")
{
    for (const Player player : {Player::studio, Player::ideal}) {
        const std::vector<float> expected = whole(four_bars, live_settings(player));
        for (const std::size_t block : {1, 256, 1000}) {
            auto take = take_of(four_bars, live_settings(player));
            CHECK(difference(all_of(*take, block), expected) == -1);
        }
    }
}

TEST_CASE("a take started at a bar gives the samples of a rendering started at its first note",
          "[live][take][twin]")
{
    for (const Player player : {Player::studio, Player::ideal}) {
        const RenderSettings settings = live_settings(player);
        auto take = take_of(four_bars, settings);
        std::vector<float> some(5000);
        take->process(some);                           // it may have been anywhere
        for (const double quarter : {4.0, 2.0, 0.0}) { // forwards, back, and to the very beginning
            CAPTURE(quarter);
            const Line line = line_of(four_bars);
            const auto first = std::find_if(line.notes.begin(), line.notes.end(),
                                            [&](const Note& n) { return n.start_quarter >= quarter - 1e-9; });
            Rendering rendering(b_flat_soprano(), line, settings);
            rendering.start_at(std::size_t(first - line.notes.begin()));
            const auto from = std::uint64_t(std::llround(rendering.position_s() * output_rate));
            std::vector<float> expected(rendering.total_samples() - from);
            rendering.process(expected);
            take->go_to(quarter);
            CHECK(take->position() == from);
            CHECK(difference(all_of(*take), expected) == -1);
        }
    }
}

TEST_CASE("a take that takes over in the middle of a held note sounds on from that very place",
          "[live][take]")
{
    const char* const held = "tempo 60 meter 4/4 mf 1/1 C4";
    auto from_start = take_of(held), over = take_of(held);
    from_start->go_to(0.0);
    const std::uint64_t began = from_start->position();
    const std::vector<float> whole_note = all_of(*from_start);
    over->take_over_at(2.5);
    CHECK(over->position() == std::uint64_t(2.5 * output_rate));
    const std::vector<float> rest = all_of(*over);
    CHECK(std::equal(rest.begin(), rest.end(),
                     whole_note.begin() + std::ptrdiff_t(2.5 * output_rate) - std::ptrdiff_t(began),
                     whole_note.end()));
    // A bar that begins within it does the same.
    over->go_to(1.0);
    CHECK(over->position() == std::uint64_t(1.0 * output_rate));
}

TEST_CASE("in a rest a take waits for the next note, in time", "[live][take]")
{
    auto take = take_of("tempo 60 meter 4/4 mf 1/4 C4 rest rest D4 bar 1/2 rest rest");
    take->go_to(1.5);
    CHECK(take->position() == std::uint64_t(1.5 * output_rate));
    std::vector<float> silence(std::size_t(1.4 * output_rate));
    take->process(silence);
    CHECK(std::all_of(silence.begin(), silence.end(), [](float x) { return x == 0.0f; }));
    CHECK(take->position() == std::uint64_t(1.5 * output_rate) + silence.size());
    take->go_to(6.0); // nothing comes any more
    const std::vector<float> rest = all_of(*take);
    CHECK(std::all_of(rest.begin(), rest.end(), [](float x) { return x == 0.0f; }));
}

TEST_CASE("a stretch that is repeated keeps its time, and every later round is the same", "[live][take]")
{
    for (const Player player : {Player::studio, Player::ideal}) {
        auto take = take_of(four_bars, live_settings(player));
        const auto round = std::size_t(1.0 * output_rate); // bar 2: two quarters at 120
        take->repeat(std::pair{2.0, 4.0});
        take->go_to(2.0);
        std::vector<float> lead(std::size_t(2.0 * 0.5 * output_rate) - take->position());
        take->process(lead); // now exactly at the stretch's beginning
        std::vector<float> one(round), two(round), three(round);
        take->process(one);
        take->process(two);
        take->process(three);
        CHECK(difference(two, three) == -1);
        // The first lacks only what rings on from the round before it.
        const auto settled = std::ptrdiff_t(0.35 * output_rate);
        CHECK(std::equal(one.begin() + settled, one.end() - settled, two.begin() + settled));
        CHECK(decibels_of(two) == Approx(decibels_of(one)).margin(0.5));
        // Never a step where it turns: no jump between samples that the music does not make elsewhere.
        const auto steepest = [](std::span<const float> s) {
            float most = 0.0f;
            for (std::size_t i = 1; i < s.size(); ++i)
                most = std::max(most, std::abs(s[i] - s[i - 1]));
            return most;
        };
        std::vector<float> seam(two.end() - 480, two.end());
        seam.insert(seam.end(), three.begin(), three.begin() + 480);
        CHECK(steepest(seam) <= steepest(std::span(one).subspan(2400)));
        take->repeat({});
        std::vector<float> on(2 * round);
        take->process(on);
        CHECK(take->position() > std::uint64_t(2.0 * 0.5 * output_rate) + round);
    }
}

TEST_CASE("a part on two clarinets can be entered anywhere, as often as one likes", "[live][take]")
{
    const RenderSettings settings = live_settings();
    TrillBook b_flat(b_flat_soprano(), settings.kit), a(instrument_named("A"), settings.kit);
    const Line one = line_of("tempo 120 meter 2/4 mf 1/4 G4 A4 bar 1/2 rest"),
               two = line_of("tempo 120 meter 2/4 mf 1/4 E4 G4");
    const auto made = [&] {
        Sequence sequence(settings);
        sequence.add(b_flat, one, 0.0);
        sequence.add(a, two, 2.0);
        return Take(std::move(sequence), one.tempo, settings.rate);
    };
    Take once = made(), often = made();
    once.go_to(4.0);
    const std::vector<float> second = all_of(once);
    CHECK(decibels_of(second) > -60.0);
    all_of(often);
    often.go_to(4.0);
    CHECK(difference(all_of(often), second) == -1);
    often.go_to(1.0);
    once.go_to(1.0);
    const std::vector<float> late = all_of(often);
    CHECK(difference(late, all_of(once)) == -1);
    // The second clarinet comes in at its time and sounds as it does after a start on it.
    CHECK(double(late.size()) ==
          Approx(double(often.total_samples()) - 0.5 * output_rate).margin(0.07 * output_rate));
}

TEST_CASE("what the device gets is the rendering, sample for sample, after the opening fade",
          "[live][player][twin]")
{
    const std::vector<float> expected = whole(four_bars);
    Outlet outlet({output_rate}, 1.0f, LivePlayer::blocks_needed({output_rate}), false);
    LivePlayer player(take_of(four_bars), 0.0, {}, outlet);
    REQUIRE(player.wait_until_ready({60.0}));
    outlet.order({Order::Kind::go});
    std::vector<float> out, block(512);
    while (outlet.state() != Outlet::State::over && out.size() < 2 * expected.size()) {
        pull_patiently(outlet, block);
        out.insert(out.end(), block.begin(), block.end());
    }
    REQUIRE(outlet.state() == Outlet::State::over);
    const auto fade = std::ptrdiff_t(Outlet::opening_fade.value * output_rate) + 1;
    CHECK(std::equal(expected.begin() + fade, expected.end(),
                     out.begin() + fade + std::ptrdiff_t(outlet.latency())));
    CHECK(outlet.late_blocks() == 0);
    CHECK(outlet.limited() == 0);
}

TEST_CASE("jumps and another player arrive at the place in the music they should", "[live][player]")
{
    const std::string slow =
        "tempo 60 meter 2/4 mf 1/4 G4 A4 bar C5 D5 bar E4 F4 bar G4 A4 bar C4 D4 bar E4 G4";
    Outlet outlet({output_rate}, 1.0f, LivePlayer::blocks_needed({output_rate}), false);
    LivePlayer player(take_of(slow), 0.0, {}, outlet);
    REQUIRE(player.wait_until_ready({60.0}));
    outlet.order({Order::Kind::go});
    std::vector<float> block(512);
    const auto play = [&](double seconds) {
        for (double t = 0.0; t < seconds; t += 512 / output_rate)
            pull_patiently(outlet, block);
    };
    // Until the player's thread has caught up with what was asked.
    const auto play_until = [&](auto&& reached) {
        for (int i = 0; i < 4000 && !reached(); ++i) {
            pull_patiently(outlet, block);
            std::this_thread::sleep_for(std::chrono::microseconds(300));
        }
        return reached();
    };
    play(0.5);
    CHECK(player.heard_quarter() == Approx(0.5).margin(0.05));
    player.go_to(6.0);
    CHECK(player.aimed_quarter() == Approx(6.0).margin(0.1));
    CHECK(play_until([&] { return player.heard_quarter() > 5.0; }));
    CHECK(player.heard_quarter() == Approx(6.0).margin(0.12)); // a breath before the bar
    play(1.0);
    player.go_to(2.0);
    CHECK(play_until([&] { return player.heard_quarter() < 4.0; }));
    play(0.3);

    const std::uint32_t before = outlet.heard().take;
    const double place = player.heard_quarter();
    player.change([&] { return take_of(slow, live_settings(Player::learner)); });
    CHECK(player.changing());
    CHECK(play_until([&] { return outlet.heard().take != before; }));
    CHECK(player.heard_quarter() >= place);
    CHECK(player.heard_quarter() < place + 4.0); // it played on while the other got ready
    CHECK_FALSE(player.changing());

    // Twice as fast, at the same place.
    const std::string fast = "tempo 120" + slow.substr(8);
    const double now = player.heard_quarter();
    player.go_to(1.0);
    CHECK(play_until([&] { return player.heard_quarter() < now; }));
    player.change([&] { return take_of(fast); });
    CHECK(play_until([&] { return outlet.heard().take == 2; }));
    const double from = player.heard_quarter();
    play(0.5);
    CHECK(player.heard_quarter() == Approx(from + 1.0).margin(0.08)); // half a second is a quarter now

    // One that cannot be made says why, and the old one plays on.
    player.change([]() -> std::unique_ptr<Take> { throw std::runtime_error("too low for it"); });
    std::optional<std::string> complaint;
    CHECK(play_until([&] { return complaint || (complaint = player.complaint()); }));
    CHECK(complaint.value_or("") == "too low for it");
    CHECK_FALSE(player.complaint());
    CHECK_FALSE(player.changing());
    CHECK(outlet.heard().take == 2);
}

TEST_CASE("a stretch set while it plays is kept to, and left when it is lifted", "[live][player]")
{
    Outlet outlet({output_rate}, 1.0f, LivePlayer::blocks_needed({output_rate}), false);
    LivePlayer player(take_of(four_bars), 0.0, {}, outlet);
    REQUIRE(player.wait_until_ready({60.0}));
    outlet.order({Order::Kind::go});
    player.repeat(std::pair{2.0, 4.0});
    std::vector<float> block(512);
    double furthest = 0.0;
    int turns = 0;
    double last = 0.0;
    for (double t = 0.0; t < 6.0; t += 512 / output_rate) {
        pull_patiently(outlet, block);
        const double now = player.heard_quarter();
        turns += now < last - 1.0;
        last = now;
        furthest = std::max(furthest, now);
    }
    CHECK(furthest < 4.03);
    CHECK(turns >= 4);
    player.repeat({});
    for (double t = 0.0; t < 4.0 && outlet.state() != Outlet::State::over; t += 512 / output_rate)
        pull_patiently(outlet, block);
    CHECK(outlet.state() == Outlet::State::over);
}

TEST_CASE("a player can be sent away at any moment", "[live][player]")
{
    for (int i = 0; i < 5; ++i) {
        Outlet outlet({output_rate}, 1.0f, LivePlayer::blocks_needed({output_rate}), false);
        LivePlayer player(take_of(four_bars), 0.0, {}, outlet);
        player.change([] { return take_of(four_bars); });
        std::this_thread::sleep_for(std::chrono::milliseconds(7 * i));
    }
    SUCCEED("it ended five times");
}
