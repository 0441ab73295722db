// SPDX-License-Identifier: MIT
// What must hold of any rendering, whatever the line: the same samples however they are fetched, no
// surprises, no overload. How it sounds is asked in note_tests, slur_tests and tone_tests.
#include "tests/engine/rendered.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

using namespace canebrake;

namespace
{

std::vector<float> in_blocks(const Line& line, const RenderSettings& settings, std::size_t block)
{
    Rendering rendering(b_flat_soprano(), line, settings);
    std::vector<float> audio, piece(block);
    while (const std::size_t n = rendering.process(piece))
        audio.insert(audio.end(), piece.begin(), piece.begin() + std::ptrdiff_t(n));
    CHECK(rendering.process(piece) == 0);
    CHECK(audio.size() == rendering.total_samples());
    return audio;
}

/// Largest sample of the sound drawn four times as finely (ITU-R BS.1770-4, annex 2): a Hann-windowed sinc of
/// 24 samples instead of the annex's 12 taps a phase.
double true_peak(std::span<const float> audio)
{
    constexpr int reach = 12, phases = 4;
    double peak = largest(audio);
    for (int phase = 1; phase < phases; ++phase) {
        double taps[2 * reach];
        for (int k = 0; k < 2 * reach; ++k) {
            const double x = double(k - reach + 1) - double(phase) / phases;
            const double window = 0.5 + 0.5 * std::cos(std::numbers::pi * x / reach);
            taps[k] = window * std::sin(std::numbers::pi * x) / (std::numbers::pi * x);
        }
        for (std::size_t n = 0; n + 2 * reach <= audio.size(); ++n) {
            double sum = 0.0;
            for (std::size_t k = 0; k < 2 * reach; ++k)
                sum += taps[k] * audio[n + k];
            peak = std::max(peak, std::abs(sum));
        }
    }
    return peak;
}

std::string chromatic(int from, int to, const std::string& between)
{
    std::string text = pitch_name(from);
    for (int n = from + 1; n <= to; ++n)
        text += between + pitch_name(n);
    return text;
}

bool all_finite(std::span<const float> audio)
{
    return std::all_of(audio.begin(), audio.end(), [](float x) { return std::isfinite(x); });
}

const std::string break_line = "tempo 96 mf 1/8 G4_A4_B4 C5 ff A#4_C5_E5 pp 1/4 C4 rest E4";

} // namespace

TEST_CASE("how a line is cut into blocks cannot be heard", "[rendering]")
{
    const Line line = line_of(break_line);
    for (const auto& [player, oversampling] : {std::pair{Player::ideal, 1}, std::pair{Player::studio, 1},
                                               std::pair{Player::studio, 2}, std::pair{Player::learner, 1}}) {
        RenderSettings settings = settings_of(player, 7);
        settings.oversampling = oversampling;
        const auto whole = rendered(line, settings).audio;
        REQUIRE(largest(whole) > 0.01f);
        for (const std::size_t block : {1, 7, 64, 4096}) {
            CAPTURE(int(player), oversampling, block);
            CHECK(in_blocks(line, settings, block) == whole);
        }
    }
}

TEST_CASE("the seed decides a studio player's fingers and breath, and nothing else does", "[rendering]")
{
    const Line line = line_of(break_line);
    const auto one = rendered(line, settings_of(Player::studio, 1)).audio;
    CHECK(rendered(line, settings_of(Player::studio, 1)).audio == one);
    CHECK(rendered(line, settings_of(Player::studio, 2)).audio != one);
}

TEST_CASE("a line without notes is silent", "[rendering]")
{
    Line rests;
    rests.tempo.push_back({0.0, 100.0, false});
    rests.end_quarter = 4.0;
    for (const Player player : {Player::ideal, Player::studio, Player::learner})
        for (const Line& line : {rests, Line{}}) {
            const auto nothing = rendered(line, settings_of(player));
            CHECK(nothing.notes.empty());
            CHECK(nothing.remarks.empty());
            CHECK(largest(nothing.audio) == 0.0f);
        }
}

TEST_CASE("a rest between notes falls silent", "[rendering]")
{
    const auto line = rendered("tempo 60 ff 1/4 E4 1/2 rest 1/4 E4");
    CHECK(largest(line.note(0)) > 0.05f);
    CHECK(largest(line.between(2.5, 2.9)) < 1e-5f);
}

TEST_CASE("a note off the instrument is silent, and a remark says which, where and what would be on it",
          "[rendering]")
{
    for (const Player player : {Player::ideal, Player::studio}) {
        const auto line =
            rendered("tempo 60 mf meter 4/4 1/4 C4 C4 C4 C4 C4 D#3 C4 1/8 C4 D7 1/4", settings_of(player));
        REQUIRE(line.remarks.size() == 2);
        CHECK_THAT(line.remarks[0], Catch::Contains("bar 2, beat 2:") && Catch::Contains("D#3") &&
                                        Catch::Contains("E3 to C7"));
        CHECK_THAT(line.remarks[1], Catch::Contains("bar 2, beat 4.5:") && Catch::Contains("D7") &&
                                        Catch::Contains("E3 to C7"));
        CHECK(line.notes[5].silent);
        CHECK(line.notes[8].silent);
        CHECK(largest(line.between(5.4, 5.95)) < 1e-5f); // the note before rings off first
        CHECK(largest(line.between(6.2, 6.8)) > 0.01f);
    }
}

TEST_CASE("ten thousand notes are played to the end and stay finite", "[rendering]")
{
    // Up and down the whole instrument at 16 notes a second, slurred in threes.
    Line line;
    line.tempo.push_back({0.0, 240.0, false});
    for (int i = 0; i < 10000; ++i) {
        Note note;
        note.start_quarter = 0.25 * i;
        note.length_quarters = 0.25;
        const int at = i % 78;
        note.sounding = {double(at < 39 ? 52 + at : 91 - (at - 39)) - 2.0};
        note.slurred_to_next = i % 12 < 2;
        line.notes.push_back(note);
    }
    line.end_quarter = 2500.0;
    const auto all = rendered(line, settings_of(Player::learner));
    REQUIRE(all.notes.size() == 10000);
    CHECK(all.remarks.empty());
    CHECK(all_finite(all.audio));
    CHECK(largest(all.audio) < 1.0f);
    CHECK(largest(all.between(600.0, 625.0)) > 0.01f);
}

TEST_CASE("a fortissimo run over the whole instrument keeps under -1 dB true peak", "[rendering]")
{
    // −1 dBTP: EBU R 128, the permitted maximum of a programme.
    double worst = 0.0;
    for (const Player player : {Player::ideal, Player::studio, Player::learner})
        for (const char* between : {" ", "_"}) {
            const auto run =
                rendered("tempo 120 ff 1/8 " + chromatic(52, 91, between), settings_of(player)).audio;
            CAPTURE(int(player), between);
            CHECK(all_finite(run));
            CHECK(largest(run) < 1.0f);
            const double peak_db = 20.0 * std::log10(true_peak(run));
            CHECK(peak_db <= -1.0);
            worst = worst == 0.0 ? peak_db : std::max(worst, peak_db);
        }
    WARN("measured: highest true peak of the ff runs " << worst << " dB");
}
