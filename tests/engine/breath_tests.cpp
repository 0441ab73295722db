// SPDX-License-Identifier: MIT
// Lengths of breath and of slurs: common practice, no source, unless a check names one.
#include "engine/files/phrase/read_phrase.h"
#include "engine/part/choose_part.h"
#include "engine/part/pitch_basis.h"
#include "engine/plan/breath.h"

#include <catch2/catch.hpp>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <random>

using namespace canebrake;

namespace
{

constexpr double pp = 1.0, mf = 4.0, ff = 6.0;

std::vector<TimedNote> phrase(const std::string& words)
{
    Line line = choose_part(read_phrase(words), "");
    set_pitch_basis(line, PitchBasis::written, -2);
    place_grace_notes(line);
    return timed_notes(line, -2);
}

/// Notes of `each_s` seconds under one slur, rising by step.
std::vector<TimedNote> slur(double seconds, double each_s, double level = mf)
{
    std::vector<TimedNote> notes;
    for (int i = 0; i < int(std::lround(seconds / each_s)); ++i) {
        TimedNote note;
        note.start_s = i * each_s;
        note.end_s = (i + 1) * each_s;
        note.written.number = 67 + i % 7;
        note.dynamic = level;
        note.slurred_to_next = true;
        notes.push_back(note);
    }
    notes.back().slurred_to_next = false;
    return notes;
}

std::vector<TimedNote> tongued(std::vector<TimedNote> notes)
{
    for (TimedNote& note : notes)
        note.slurred_to_next = false;
    return notes;
}

std::vector<std::size_t> places(const BreathPlan& plan)
{
    std::vector<std::size_t> after;
    for (const Breath& breath : plan.breaths)
        after.push_back(breath.after);
    return after;
}

Grade worst_grade(const BreathPlan& plan)
{
    Grade grade = Grade::easy;
    for (const AirSpan& span : plan.spans)
        grade = worst(grade, span.grade);
    return grade;
}

Grade grade_of_slur(double seconds, double level, const Kit& kit = {}, double factor = 1.0)
{
    return worst_grade(plan_breaths(slur(seconds, 0.5, level), kit, factor));
}

std::vector<TimedNote> random_line(std::mt19937& random, int count)
{
    const auto at = [&](double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random);
    };
    std::vector<TimedNote> notes;
    double now = 0.0;
    for (int i = 0; i < count; ++i) {
        TimedNote note;
        note.start_s = now;
        note.end_s = now += at(0.05, at(0.0, 1.0) < 0.3 ? 4.0 : 1.0);
        if (at(0.0, 1.0) < 0.3)
            now += at(0.0, 1.2);
        note.written.number = int(at(60, 72));
        note.dynamic = at(-1.0, 7.0);
        if (at(0.0, 1.0) < 0.3)
            note.dynamic_end = at(-1.0, 7.0);
        note.slurred_to_next = at(0.0, 1.0) < 0.5;
        note.breath_mark = at(0.0, 1.0) < 0.05;
        note.fermata = at(0.0, 1.0) < 0.05;
        note.starts_bar = at(0.0, 1.0) < 0.3;
        note.silent = at(0.0, 1.0) < 0.05;
        notes.push_back(note);
    }
    return notes;
}

} // namespace

TEST_CASE("a slur of 18 seconds at mf is easy, 25 awkward, 35 risky, and more is beyond anyone", "[breath]")
{
    CHECK(grade_of_slur(18.0, mf) == Grade::easy);
    CHECK(grade_of_slur(18.5, mf) == Grade::awkward);
    CHECK(grade_of_slur(25.0, mf) == Grade::awkward);
    CHECK(grade_of_slur(25.5, mf) == Grade::risky);
    CHECK(grade_of_slur(35.0, mf) == Grade::risky);
    CHECK(grade_of_slur(35.5, mf) == Grade::unplayable);
    CHECK(grade_of_slur(45.0, pp) == Grade::risky);
    CHECK(grade_of_slur(45.5, pp) == Grade::unplayable);
    CHECK(grade_of_slur(12.0, ff) == Grade::easy);
    CHECK(grade_of_slur(12.5, ff) == Grade::awkward);
}

TEST_CASE("what a breath lasts follows from a deep breath and the flow that wind players use", "[breath]")
{
    // UNSW Music Acoustics, page on air speed and flow: 0.1 to 1 L/s in wind playing, 5 L is a deep breath.
    // So no limit of ours may ask for more than 50 s or less than 5 s of any player on any dynamic.
    for (double level = -1.0; level <= 7.0; level += 0.25) {
        const BreathLimits limits = breath_limits(level, Player::studio);
        CHECK(limits.easy_s > 5.0);
        CHECK(limits.easy_s < limits.awkward_s);
        CHECK(limits.awkward_s < limits.risky_s);
        CHECK(limits.risky_s < 50.0);
    }
}

TEST_CASE("bass and contra players and learners run out sooner", "[breath]")
{
    Kit learner;
    learner.level = Player::learner;
    CHECK(grade_of_slur(16.0, mf) == Grade::easy);
    CHECK(grade_of_slur(16.0, mf, {}, 0.7) == Grade::awkward); // bass: 12.6, 17.5
    CHECK(grade_of_slur(16.0, mf, {}, 0.6) == Grade::risky);   // contras: 10.8, 15, 21
    CHECK(grade_of_slur(16.0, mf, learner) == Grade::awkward); // 13.5, 18.75
}

TEST_CASE("circular breathing removes the limit, and the ideal player has none", "[breath]")
{
    Kit kit;
    kit.circular_breathing = true;
    CHECK(grade_of_slur(300.0, ff, kit) == Grade::easy);
    CHECK(plan_breaths(slur(300.0, 0.5), kit).breaths.empty());
    Kit ideal;
    ideal.level = Player::ideal;
    CHECK(grade_of_slur(300.0, ff, ideal) == Grade::easy);
}

TEST_CASE("how well a line is known does not lengthen the breath", "[breath]")
{
    Kit kit;
    kit.reading = Reading::prepared;
    CHECK(grade_of_slur(30.0, mf, kit) == Grade::risky);
}

TEST_CASE("air is summed over the dynamics in time", "[breath]")
{
    // A note that grows evenly from pp to ff: the integral of dt over what a breath lasts, done numerically.
    TimedNote note;
    note.end_s = 17.0;
    note.dynamic = pp;
    note.dynamic_middle = 0.5 * (pp + ff);
    note.dynamic_end = ff;
    double used = 0.0;
    constexpr int steps = 100000;
    for (int i = 0; i < steps; ++i)
        used += note.end_s / steps / breath_limits(pp + (ff - pp) * (i + 0.5) / steps, Player::studio).easy_s;
    const auto plan = plan_breaths(std::vector{note}, {});
    REQUIRE(plan.spans.size() == 1);
    CHECK(plan.spans[0].limits.easy_s == Approx(17.0 / used).epsilon(1e-6));
    // Up and down again in the same time is as long at every level, so it takes the same.
    auto swell = note;
    swell.dynamic_middle = ff;
    swell.dynamic_end = pp;
    CHECK(plan_breaths(std::vector{swell}, {}).spans[0].limits.easy_s == Approx(17.0 / used).epsilon(1e-6));
}

TEST_CASE("breath is taken in the rests, and costs the notes nothing there", "[breath]")
{
    const auto notes = phrase("tempo 60 mf 1/4 G4_A4_B4_C5 rest C5_B4_A4_G4");
    const auto plan = plan_breaths(notes, {});
    REQUIRE(places(plan) == std::vector<std::size_t>{3});
    const Breath& breath = plan.breaths[0];
    CHECK(breath.place == BreathPlace::rest);
    CHECK(breath.stolen_s == 0.0);
    CHECK(breath.late_s == 0.0);
    CHECK(breath.length_s >= 0.3);
    CHECK(breath.start_s >= notes[3].end_s);
    CHECK(breath.start_s + breath.length_s == Approx(notes[4].start_s));
    REQUIRE(plan.spans.size() == 2);
    CHECK(plan.spans[0].to == 3);
    CHECK(plan.spans[1].from == 4);
}

TEST_CASE("a full breath takes about a second, a catch breath a third to half of one", "[breath]")
{
    auto notes = slur(34.0, 1.0);
    notes[16].slurred_to_next = false; // 17 s to each side, most of a breath at mf
    const auto caught = plan_breaths(notes, {});
    REQUIRE(places(caught) == std::vector<std::size_t>{16});
    CHECK(caught.breaths[0].place == BreathPlace::joint);
    CHECK(caught.breaths[0].length_s == Approx(0.5));
    CHECK(caught.breaths[0].stolen_s == Approx(0.5));
    for (std::size_t i = 17; i < notes.size(); ++i) {
        notes[i].start_s += 2.0;
        notes[i].end_s += 2.0;
    }
    const auto full = plan_breaths(notes, {});
    REQUIRE(places(full) == std::vector<std::size_t>{16});
    CHECK(full.breaths[0].length_s > 0.8);
    CHECK(full.breaths[0].length_s < 1.2);
}

TEST_CASE("printed breath marks are obeyed even where nobody would need them", "[breath]")
{
    const auto plan = plan_breaths(phrase("tempo 96 mf 1/8 G4_A4_B4_C5 breath D5_C5_B4_A4"), {});
    REQUIRE(places(plan) == std::vector<std::size_t>{3});
    CHECK(plan.breaths[0].place == BreathPlace::mark);
}

TEST_CASE("a player breathes at the end of a slur rather than between repeated notes", "[breath]")
{
    // 24 s in slow quarters at f; slurs of four, and one place with four repeated tongued notes.
    std::string words = "tempo 60 f 1/4 G4_A4_B4_C5 D5_C5_B4_A4 G4_A4_B4_C5 D5 D5 D5 D5 "
                        "C5_B4_A4_G4 A4_B4_C5_D5";
    const auto plan = plan_breaths(phrase(words), {});
    REQUIRE(!plan.breaths.empty());
    for (const Breath& breath : plan.breaths) {
        INFO("after note " << breath.after);
        CHECK(breath.place == BreathPlace::joint);
        CHECK((breath.after % 4 == 3 && breath.after != 15));
    }
}

TEST_CASE("a joint of half a second is a breath, so tongued quarters at 120 never run out", "[breath]")
{
    const auto plan = plan_breaths(tongued(slur(120.0, 0.5, ff)), {});
    CHECK(worst_grade(plan) == Grade::easy);
    for (const Breath& breath : plan.breaths) {
        CHECK(breath.late_s == 0.0);
        CHECK(breath.length_s >= 0.3);
        CHECK(breath.stolen_s <= 0.3 + 1e-9);
    }
}

TEST_CASE("a minute of tongued sixteenths asks for a note left out, but is not beyond anyone", "[breath]")
{
    const auto plan = plan_breaths(tongued(slur(60.0, 0.12)), {});
    CHECK(worst_grade(plan) == Grade::risky);
    REQUIRE(!plan.breaths.empty());
    for (const Breath& breath : plan.breaths)
        CHECK(breath.late_s > 0.0);
}

TEST_CASE("a slur that can be held is never broken, and one that cannot is broken where it harms least",
          "[breath]")
{
    CHECK(plan_breaths(slur(34.0, 0.5), {}).breaths.empty());

    auto notes = slur(50.0, 0.5);
    notes[53].end_s += 1.0; // one long note, in the middle, before a leap over a bar line
    for (std::size_t i = 54; i < notes.size(); ++i) {
        notes[i].start_s += 1.0;
        notes[i].end_s += 1.0;
        notes[i].written.number += 12;
    }
    notes[54].starts_bar = true;
    const auto plan = plan_breaths(notes, {});
    REQUIRE(places(plan) == std::vector<std::size_t>{53});
    CHECK(plan.breaths[0].place == BreathPlace::slur);
    REQUIRE(plan.spans.size() == 1); // the writer asked for one breath
    CHECK(plan.spans[0].grade == Grade::unplayable);
    CHECK(plan.spans[0].break_after == 53);
    CHECK(plan.spans[0].seconds == Approx(51.0));
    CHECK(plan.spans[0].limits.risky_s == Approx(35.0));

    // A risky slur says where it would break, though the plan holds it.
    auto held = slur(33.0, 0.5);
    held[32].starts_bar = true;
    const auto risky = plan_breaths(held, {});
    REQUIRE(risky.spans.size() == 1);
    CHECK(risky.breaths.empty());
    CHECK(risky.spans[0].grade == Grade::risky);
    CHECK(risky.spans[0].break_after == 31);
}

TEST_CASE("a note longer than a breath is beyond anyone, and nothing breaks it", "[breath]")
{
    const auto plan = plan_breaths(slur(50.0, 50.0), {});
    CHECK(plan.breaths.empty());
    REQUIRE(plan.spans.size() == 1);
    CHECK(plan.spans[0].grade == Grade::unplayable);
    CHECK(plan.spans[0].break_after == AirSpan::none);
}

TEST_CASE("notes that are not played take no air and leave time to breathe", "[breath]")
{
    auto notes = slur(60.0, 0.5);
    for (std::size_t i = 58; i < 62; ++i)
        notes[i].silent = true;
    const auto plan = plan_breaths(notes, {});
    CHECK(places(plan) == std::vector<std::size_t>{57});
    CHECK(worst_grade(plan) == Grade::risky);
    CHECK(plan_breaths({}, {}).spans.empty());
    for (TimedNote& note : notes)
        note.silent = true;
    CHECK(plan_breaths(notes, {}).spans.empty());
}

TEST_CASE("on short lines the breath plan is as good as the best of all plans", "[breath]")
{
    std::mt19937 random(20260101);
    int broken = 0, with_breaths = 0;
    for (int trial = 0; trial < 400; ++trial) {
        const auto notes = random_line(random, 10);
        const double factor = trial % 2 == 0 ? 0.08 : 0.25; // small lungs: there is something to decide
        double least = std::numeric_limits<double>::infinity();
        for (unsigned set = 0; set < 1u << 9; ++set) {
            std::vector<std::size_t> after;
            for (std::size_t i = 0; i < 9; ++i)
                if ((set >> i & 1u) != 0)
                    after.push_back(i);
            bool possible = true;
            std::size_t last = 0;
            for (std::size_t i = 0; i < notes.size(); ++i)
                last = notes[i].silent ? last : i;
            for (const std::size_t i : after)
                possible = possible && !notes[i].silent && i < last;
            if (possible)
                least = std::min(least, cost_of_breaths(notes, {}, after, factor));
        }
        const auto plan = plan_breaths(notes, {}, factor);
        CAPTURE(trial);
        REQUIRE(std::isfinite(least));
        REQUIRE(cost_of_breaths(notes, {}, places(plan), factor) == Approx(least).epsilon(1e-12));
        with_breaths += !plan.breaths.empty();
        for (const Breath& breath : plan.breaths)
            broken += breath.place == BreathPlace::slur;
    }
    CHECK(with_breaths > 350);
    CHECK(broken > 20);
}

TEST_CASE("every note lies in one span, and breaths neither overlap nor take more than there is", "[breath]")
{
    std::mt19937 random(7);
    for (int trial = 0; trial < 50; ++trial) {
        const auto notes = random_line(random, 300);
        const auto plan = plan_breaths(notes, {}, 0.5);
        std::size_t next = 0;
        const auto skip_silent = [&] {
            while (next < notes.size() && notes[next].silent)
                ++next;
        };
        for (const AirSpan& span : plan.spans) {
            skip_silent();
            REQUIRE(span.from == next);
            REQUIRE(span.to >= span.from);
            next = span.to + 1;
        }
        skip_silent();
        REQUIRE(next == notes.size());
        double free_from = -1.0;
        for (const Breath& breath : plan.breaths) {
            const TimedNote& before = notes[breath.after];
            REQUIRE(breath.length_s >= 0.3 - 1e-9);
            REQUIRE(breath.stolen_s <= 0.6 * (before.end_s - before.start_s) + 1e-9);
            REQUIRE(breath.start_s >= before.end_s - breath.stolen_s - 1e-9);
            REQUIRE(breath.start_s >= free_from);
            free_from = breath.start_s + breath.length_s - breath.late_s - 1e-9;
        }
    }
}

TEST_CASE("twenty thousand notes are planned at once, and twice the same", "[breath]")
{
    std::mt19937 random(3);
    for (const auto& notes :
         {random_line(random, 20000), slur(2000.0, 0.1), tongued(slur(2000.0, 0.1, pp)), slur(10.0, 0.001)}) {
        const auto begin = std::chrono::steady_clock::now();
        const auto plan = plan_breaths(notes, {});
        const double seconds =
            std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
        std::printf("%zu notes, %zu breaths: %.1f ms\n", notes.size(), plan.breaths.size(), 1e3 * seconds);
        CHECK(seconds < 5.0); // not squared, even on a busy machine and with sanitizers
        CHECK(places(plan) == places(plan_breaths(notes, {})));
    }
}

TEST_CASE("a phrase's marks, dynamics and bar lines reach lungs and tongue", "[breath]")
{
    const auto notes = phrase("tempo 120 pp grow 1/1 C5 ff 1/4 D5_E5 hold F5 breath G5");
    REQUIRE(notes.size() == 5);
    CHECK(notes[0].end_s == Approx(2.0));
    CHECK(notes[0].written.number == 72);
    CHECK(notes[0].dynamic == Approx(1.0));
    CHECK(*notes[0].dynamic_middle == Approx(3.5));
    CHECK(*notes[0].dynamic_end == Approx(6.0).margin(1e-3));
    CHECK(notes[0].starts_bar);
    CHECK(notes[1].starts_bar);
    CHECK_FALSE(notes[2].starts_bar);
    CHECK(notes[1].slurred_to_next);
    CHECK(notes[3].fermata);
    CHECK(notes[3].breath_mark);
    CHECK(timed_notes(Line{}, -2).empty());
}
