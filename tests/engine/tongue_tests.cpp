// SPDX-License-Identifier: MIT
// Speeds of the tongue: common practice, no source, unless a check names one.
#include "engine/files/phrase/read_phrase.h"
#include "engine/part/choose_part.h"
#include "engine/part/pitch_basis.h"
#include "engine/plan/tongue.h"

#include <catch2/catch.hpp>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <random>
#include <string>

using namespace canebrake;

namespace
{

constexpr int g4 = 67, c6 = 84;

/// Repeated sixteenths.
std::vector<TimedNote> sixteenths(double quarters_per_minute, int count, int written = g4)
{
    std::vector<TimedNote> notes(static_cast<std::size_t>(count));
    const double each = 15.0 / quarters_per_minute;
    for (std::size_t i = 0; i < notes.size(); ++i) {
        notes[i].start_s = double(i) * each;
        notes[i].end_s = notes[i].start_s + 0.7 * each;
        notes[i].written.number = written;
    }
    return notes;
}

std::vector<TimedNote> at_tempo(std::vector<TimedNote> notes, double tempo)
{
    for (TimedNote& note : notes) {
        note.start_s /= tempo;
        note.end_s /= tempo;
    }
    return notes;
}

Grade grade(const std::vector<TimedNote>& notes, const Kit& kit = {}, double factor = 1.0)
{
    Grade grade = Grade::easy;
    for (const TongueRun& run : tongue_runs(notes, kit, factor))
        grade = worst(grade, run.grade);
    return grade;
}

std::vector<TimedNote> phrase(const std::string& words)
{
    Line line = choose_part(read_phrase(words), "");
    set_pitch_basis(line, PitchBasis::written, -2);
    place_grace_notes(line);
    return timed_notes(line, -2);
}

constexpr int two_beats = 8, eight_bars = 128;

} // namespace

TEST_CASE("two beats of repeated sixteenths: easy at 126, awkward at 144, risky at 168, then beyond anyone",
          "[tongue]")
{
    CHECK(grade(sixteenths(126, two_beats)) == Grade::easy);
    CHECK(grade(sixteenths(132, two_beats)) == Grade::awkward);
    CHECK(grade(sixteenths(144, two_beats)) == Grade::awkward);
    CHECK(grade(sixteenths(146, two_beats)) == Grade::risky);
    CHECK(grade(sixteenths(168, two_beats)) == Grade::risky);
    CHECK(grade(sixteenths(172, two_beats)) == Grade::unplayable);
}

TEST_CASE("eight bars of repeated sixteenths: easy at 112, awkward at 132, risky at 156, then beyond anyone",
          "[tongue]")
{
    CHECK(grade(sixteenths(112, eight_bars)) == Grade::easy);
    CHECK(grade(sixteenths(114, eight_bars)) == Grade::awkward);
    CHECK(grade(sixteenths(132, eight_bars)) == Grade::awkward);
    CHECK(grade(sixteenths(134, eight_bars)) == Grade::risky);
    CHECK(grade(sixteenths(156, eight_bars)) == Grade::risky);
    CHECK(grade(sixteenths(158, eight_bars)) == Grade::unplayable);
}

TEST_CASE("our limits agree with what clarinettists have written about tonguing speed", "[tongue]")
{
    // A clarinet mailing-list post (1996): 140 a typical maximum of a good player, 160 and more exceptional,
    // 180 "quite remarkably fast". A teaching article (2000): 144 to 152 out of range of the majority.
    CHECK(grade(sixteenths(120, two_beats)) == Grade::easy);
    CHECK(grade(sixteenths(140, two_beats)) == Grade::awkward);
    CHECK(grade(sixteenths(148, eight_bars)) == Grade::risky);
    CHECK(grade(sixteenths(160, two_beats)) == Grade::risky);
    CHECK(grade(sixteenths(180, two_beats)) == Grade::unplayable);
}

TEST_CASE("repeated sixteenths at 132 in a typed phrase are awkward at sight, and no practice mends a tongue",
          "[tongue]")
{
    const auto notes = phrase("tempo 132 mf 1/16 G4 G4 G4 G4 G4 G4 G4 G4 G4 G4 G4 G4 G4 G4 G4 G4 1/4 G4");
    const auto runs = tongue_runs(notes, {});
    REQUIRE(runs.size() == 1);
    CHECK(runs[0].grade == Grade::awkward);
    CHECK(runs[0].from == 0);
    CHECK(runs[0].to == 16);
    CHECK(runs[0].strokes_per_s == Approx(8.8));
    CHECK(runs[0].easy_at * 132 == Approx(120).margin(6));
    Kit kit;
    kit.reading = Reading::prepared;
    CHECK(grade(notes, kit) == Grade::awkward);
}

TEST_CASE("from C6 up the tongue is slower, on the big instruments and with learners too", "[tongue]")
{
    CHECK(grade(sixteenths(120, two_beats, c6 - 1)) == Grade::easy);
    CHECK(grade(sixteenths(120, two_beats, c6)) == Grade::awkward);       // 113.4
    CHECK(grade(sixteenths(110, two_beats), {}, 0.85) == Grade::awkward); // 107.1: bass
    CHECK(grade(sixteenths(110, two_beats), {}, 0.7) == Grade::risky);    // 88.2, 100.8: contras
    Kit learner;
    learner.level = Player::learner;
    CHECK(grade(sixteenths(94, two_beats), learner) == Grade::easy); // 94.5
    CHECK(grade(sixteenths(100, two_beats), learner) == Grade::awkward);
    Kit ideal;
    ideal.level = Player::ideal;
    CHECK(grade(sixteenths(400, eight_bars), ideal) == Grade::easy);
}

TEST_CASE("double tonguing helps only where it is asked for, and hardly in the altissimo", "[tongue]")
{
    // Single tonguing is reliable in the altissimo where double tonguing failed for three of four
    // professionals: articulography study, Music & Science, 2021, doi 10.1177/20592043211034117 (abstract).
    Kit kit;
    kit.double_tongue = true;
    CHECK(grade(sixteenths(176, two_beats)) == Grade::unplayable);
    CHECK(grade(sixteenths(176, two_beats), kit) == Grade::easy);
    CHECK(grade(sixteenths(176, two_beats, c6 + 2), kit) == Grade::unplayable);
    auto asked = sixteenths(176, two_beats);
    for (TimedNote& note : asked)
        note.double_tongue = true;
    CHECK(grade(asked) == Grade::easy);
    CHECK(fastest_strokes(Player::studio, 0.5, false, true, 1.0) ==
          Approx(1.5 * fastest_strokes(Player::studio, 0.5, false, false, 1.0)));
    CHECK(fastest_strokes(Player::studio, 0.5, true, true, 1.0) <
          1.1 * fastest_strokes(Player::studio, 0.5, true, false, 1.0));
}

TEST_CASE("the fastest strokes fall with the length of the burst and never rise", "[tongue]")
{
    CHECK(fastest_strokes(Player::studio, 0.2, false, false, 1.0) == Approx(11.2));
    CHECK(fastest_strokes(Player::studio, 1.0, false, false, 1.0) == Approx(11.2));
    CHECK(fastest_strokes(Player::studio, 2.5, false, false, 1.0) == Approx(10.8));
    CHECK(fastest_strokes(Player::studio, 4.0, false, false, 1.0) == Approx(10.4));
    CHECK(fastest_strokes(Player::studio, 60.0, false, false, 1.0) == Approx(10.4));
    CHECK(std::isinf(fastest_strokes(Player::ideal, 60.0, false, false, 1.0)));
    double last = 100.0;
    for (double s = 0.0; s < 6.0; s += 0.05) {
        const double now = fastest_strokes(Player::learner, s, true, false, 0.7);
        CHECK(now <= last);
        last = now;
    }
}

TEST_CASE("slurring two and tonguing two rests the tongue", "[tongue]")
{
    auto notes = sixteenths(138, eight_bars);
    for (std::size_t i = 0; i < notes.size(); i += 4) {
        notes[i].slurred_to_next = true;
        notes[i].end_s = notes[i + 1].start_s;
    }
    CHECK(grade(sixteenths(138, eight_bars)) == Grade::risky);
    CHECK(grade(notes) == Grade::easy);
    for (TimedNote& note : notes)
        note.slurred_to_next = true;
    CHECK(tongue_runs(notes, {}).empty());
}

TEST_CASE("a dotted figure is a rebound and not a burst", "[tongue]")
{
    CHECK(grade(phrase("tempo 138 mf 3/16 G4 1/16 G4 3/16 G4 1/16 G4 3/16 G4 1/16 G4 1/4 G4")) ==
          Grade::easy);
    CHECK(grade(phrase("tempo 240 mf 3/16 G4 1/16 G4 3/16 G4 1/16 G4 1/4 G4")) != Grade::easy);
}

TEST_CASE("rests and notes that are not played end a run", "[tongue]")
{
    auto notes = sixteenths(144, 40);
    for (std::size_t i = 20; i < 24; ++i)
        notes[i].silent = true;
    const auto runs = tongue_runs(notes, {});
    REQUIRE(runs.size() == 2);
    CHECK(runs[0].from == 0);
    CHECK(runs[0].to == 19);
    CHECK(runs[1].from == 24);
    CHECK(runs[1].to == 39);
    CHECK(tongue_runs({}, {}).empty());
    CHECK(tongue_runs(sixteenths(144, 1), {}).empty());
    CHECK(tongue_runs(sixteenths(40, 16), {}).empty()); // slow: nothing to say
}

TEST_CASE("the hardest part of a run is found", "[tongue]")
{
    auto notes = sixteenths(90, 60);
    // Beat 8 twice as fast: eight thirty-seconds in place of four sixteenths.
    const double start = notes[28].start_s, each = 15.0 / 90 / 2;
    for (std::size_t i = 28; i < 60; ++i)
        notes[i].start_s = start + (i < 36 ? double(i - 28) * each : 8 * each + double(i - 36) * 2 * each);
    const auto runs = tongue_runs(notes, {});
    REQUIRE(runs.size() == 1);
    CHECK(runs[0].grade == Grade::unplayable);
    CHECK(runs[0].hardest_from >= 27);
    CHECK(runs[0].hardest_to <= 37);
    CHECK(runs[0].from == 0);
    CHECK(runs[0].to == 59);
}

TEST_CASE("at the tempo that is said to be easy a run is easy, and a little faster it is not", "[tongue]")
{
    std::mt19937 random(5);
    std::uniform_real_distribution<double> jitter(0.0, 0.05), tempo(100.0, 220.0);
    int hard = 0;
    for (int trial = 0; trial < 200; ++trial) {
        auto notes = sixteenths(tempo(random), 4 + int(random() % 60), trial % 3 == 0 ? c6 : g4);
        if (trial % 2 == 0)
            for (TimedNote& note : notes)
                note.start_s *= 1.0 + jitter(random) * 1e-3;
        const auto runs = tongue_runs(notes, {});
        REQUIRE(runs.size() == 1);
        CAPTURE(trial, runs[0].strokes_per_s, runs[0].easy_at);
        CHECK((runs[0].grade == Grade::easy) == (runs[0].easy_at == 1.0));
        CHECK(grade(at_tempo(notes, 0.995 * runs[0].easy_at)) == Grade::easy);
        if (runs[0].easy_at < 1.0) {
            ++hard;
            CHECK(grade(at_tempo(notes, 1.01 * runs[0].easy_at)) != Grade::easy);
        }
    }
    CHECK(hard > 100);
}

TEST_CASE("twenty thousand strokes are judged at once", "[tongue]")
{
    for (const double tempo : {100.0, 150.0, 300.0}) {
        const auto notes = sixteenths(tempo, 20000);
        const auto begin = std::chrono::steady_clock::now();
        const auto runs = tongue_runs(notes, {});
        const double seconds =
            std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
        std::printf("20000 strokes at %.0f: %.1f ms\n", tempo, 1e3 * seconds);
        REQUIRE(runs.size() == 1);
        CHECK(seconds < 5.0); // not squared, even on a busy machine and with sanitizers
    }
}

TEST_CASE("grades are words, step up and down, and stop at both ends", "[tongue][grade]")
{
    CHECK(std::string(word(Grade::easy)) == "easy");
    CHECK(std::string(word(Grade::awkward)) == "awkward");
    CHECK(std::string(word(Grade::risky)) == "risky");
    CHECK(std::string(word(Grade::unplayable)) == "unplayable");
    CHECK(harder(Grade::easy, 1) == Grade::awkward);
    CHECK(harder(Grade::risky, -2) == Grade::easy);
    CHECK(harder(Grade::risky, 1000000000) == Grade::unplayable);
    CHECK(harder(Grade::awkward, -1000000000) == Grade::easy);
    CHECK(worst(Grade::risky, Grade::awkward) == Grade::risky);
}
