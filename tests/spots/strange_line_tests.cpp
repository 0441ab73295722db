// SPDX-License-Identifier: MIT
// Lines nobody would write, very long ones, and two that were written well.
#include "engine/files/read.h"
#include "engine/part/choose_part.h"
#include "tests/spots/judging.h"

#include <catch2/catch.hpp>

#include <chrono>
#include <cmath>
#include <cstdlib>
#include <filesystem>

using namespace canebrake;

namespace
{

bool all_finite(const Heard& h)
{
    const auto finite = [](const std::optional<double>& figure) { return !figure || std::isfinite(*figure); };
    return finite(h.dip_db) && finite(h.settle_ms) && finite(h.speech_ms) && finite(h.cents) &&
           finite(h.jump_db) && finite(h.tone_change);
}

/// Figures that can be told, and notes that are in the line.
void check_sane(const Judging& judging)
{
    for (const JudgedPart::Stretch& stretch : judging.part().stretches()) {
        for (const Spot& spot : stretch.spots) {
            CAPTURE(in_full(spot));
            CHECK(spot.from <= spot.to);
            CHECK(spot.to < stretch.part.notes.size());
            for (const std::size_t again : spot.again)
                CHECK(again < stretch.part.notes.size());
            CHECK(spot.grade != Grade::easy);
            CHECK(all_finite(spot.heard));
            if (spot.ideal)
                CHECK(all_finite(*spot.ideal));
            if (spot.pace) {
                CHECK(std::isfinite(spot.pace->rate));
                CHECK(spot.pace->rate >= 0.0);
                for (const double limit : spot.pace->limits)
                    CHECK(limit > 0.0); // not a number fails too
            }
            CHECK(std::isfinite(spot.safe_at));
            CHECK(spot.safe_at >= 0.0);
            CHECK(spot.safe_at <= 1.0);
        }
    }
}

std::filesystem::path shared_scores()
{
    const char* folder = std::getenv("CANEBRAKE_SHARED");
    return (folder ? std::filesystem::path(folder)
                   : std::filesystem::path(__FILE__).parent_path() / "../../../shared") /
           "scores";
}

} // namespace

TEST_CASE("strange lines are judged without a wrong figure", "[spots][safety]")
{
    const std::vector<std::string> phrases{
        "C5",                                // one note
        "1/64 C5",                           // one short note
        "D3",                                // one note off the instrument
        "1/4 D3 C3 D3 B2_A2_ C8 C1",         // only notes off the instrument
        "1/4 D3_E3_D3_E3 D7_C6_D7",          // in and out of it, slurred
        "grace A4 grace B4 grace C5 1/4 D5", // hardly anything but grace notes
        "tempo 300 ff 1/64 E3_C6_E3_C6_E3_C6_E3_C6_ A4_B4_A4_B4_A4_B4_ 1/64 G6", // faster than
                                                                                 // anybody
        "tempo 300 1/64 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4",
        "tempo 140 ff 1/24 "
        "A4_B4_A4_B4_A4_B4_A4_C5_A4_C5_A4_C5_G4_D5_G4_D5_G4_D5_Bb4_F5_Bb4_F5_Bb4_F5", // sextuplets
        "tempo 10 mf 1/1 A4_ C5",                                                     // slower than anybody
        "tempo 10 niente 1/4 C6 grow ff 1/4 C6",
        "tempo 60 trill half C3 1/2 rock E3 C7 slide E3 C7 gliss C7 E3 C7", // ornaments nobody plays
        "by fork C5 by R+T+L1+L2+L3 G5 by side E3",
    };
    for (const std::string& phrase : phrases) {
        for (const Player player : {Player::studio, Player::learner, Player::ideal}) {
            Asked asked;
            asked.phrase = phrase;
            asked.kit.level = player;
            asked.options.ideal = true;
            CAPTURE(phrase, int(player));
            std::optional<Judging> judging;
            CHECK_NOTHROW(judging.emplace(asked));
            if (judging)
                check_sane(*judging);
        }
    }
}

TEST_CASE("lines that nobody typed are judged without a wrong figure", "[spots][safety]")
{
    const Asked plain;
    TrillBook book(instrument_named("B-flat"), {});
    const auto judged = [&](const Line& line) {
        RenderSettings settings;
        const Part part = prepare_part(book, line, settings);
        const Performed p{book, line, part, settings};
        const std::vector<Spot> spots = judge(p);
        for (const Spot& spot : spots) {
            CHECK(all_finite(spot.heard));
            CHECK(std::isfinite(spot.safe_at));
            CHECK(spot.to < p.size());
        }
        return spots;
    };
    Line empty;
    CHECK(judged(empty).empty());
    empty.end_quarter = 400.0;
    empty.tempo.push_back({});
    CHECK(judged(empty).empty()); // all rests

    // One note of ten minutes: no breath is as long.
    Line long_note;
    long_note.tempo.push_back({0.0, 60.0, false});
    Note note;
    note.sounding.number = 70;
    note.printed = 72;
    note.length_quarters = 600.0;
    long_note.notes.push_back(note);
    long_note.end_quarter = 600.0;
    const auto spots = judged(long_note);
    CHECK(std::any_of(spots.begin(), spots.end(), [](const Spot& s) {
        return s.cause == Cause::breath && s.grade == Grade::unplayable;
    }));

    // Quarter-tones, without tempo, dynamics or slurs, as much MIDI is.
    Line microtones;
    for (int i = 0; i < 24; ++i) {
        Note step;
        step.start_quarter = 0.5 * i;
        step.length_quarters = 0.5;
        step.sounding.number = 60.0 + i + (i % 2 == 0 ? 0.5 : -0.5); // quarter-tones
        step.printed = 62 + i;
        step.velocity = 1.0 + 5.0 * i;
        microtones.notes.push_back(step);
    }
    microtones.end_quarter = 12.0;
    judged(microtones);
}

TEST_CASE("ten thousand notes are judged in seconds", "[spots][safety]")
{
    // A whole evening's part. The same figures come back, as they do in music, but never twice in one key.
    std::string phrase = "tempo 132 mf 1/16";
    const std::vector<std::string> bars{
        " E4_F4_G4_A4_B4_C5_D5_E5_ F5 E5 D5 C5 B4 A4 G4 F4",
        " C4_E4_G4_C5_ E5_C5_G4_E4_ A3 C4 E4 A4 C5 E5 A5 rest",
        " D5_F#5_A5_D6_ A5_F#5_D5_A4_ 1/4 G4_ 1/8 C5 1/16 E5 G5",
        " Ab5_C5_Eb5_C5_ Bb4 Ab4 G4 F4 Eb4_G4_Bb4_Eb5_ Db5 C5 Bb4 rest",
    };
    std::size_t notes = 0;
    for (std::size_t bar = 0; notes < 10000; ++bar) {
        phrase += bars[bar % bars.size()];
        notes += 14;
    }
    Asked asked;
    asked.phrase = phrase;
    asked.options.ideal = true;
    asked.options.threads = 2;
    const auto begun = std::chrono::steady_clock::now();
    const Judging judging(asked);
    const double took_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
    check_sane(judging);
    CHECK(judging.performed().size() > 9000);
    CHECK(judging.spots().size() > 4);
    CHECK(judging.spots().size() < 200); // told once, with the places where it comes back
    CAPTURE(took_s);
    CHECK(took_s < 60.0); // not a measure of speed: only that it does not grow with the square of the notes
}

TEST_CASE("in two orchestral movements there are at most 2 risky and 6 awkward spots in 100 bars",
          "[spots][outside]")
{
    // The limit is the project's own, common practice, no source: more would be nagging over music that
    // every orchestra plays. The movements: Beethoven op. 93, third; Brahms op. 90, second.
    for (const std::string name : {"beethoven-op93-3.mxl", "brahms-op90-2.mxl"}) {
        const std::filesystem::path file = shared_scores() / name;
        if (!std::filesystem::exists(file)) {
            WARN("skipped, no reference files: " << file.string());
            continue;
        }
        const Score score = read_score(file);
        for (const std::string part : {"P5", "P6"}) {
            Asked asked;
            asked.instrument.clear(); // as the part says itself
            asked.pitch = PitchBasis::as_file;
            const Judging judging(choose_part(score, part), asked);
            const double bars = double(judging.part().played().line.bars.size());
            REQUIRE(bars > 50);
            std::size_t awkward = 0, risky = 0, nobodys = 0, all_places = 0;
            std::string told;
            for (const JudgedPart::Stretch& stretch : judging.part().stretches())
                for (const Spot& spot : stretch.spots) {
                    awkward += spot.grade == Grade::awkward;
                    risky += spot.grade == Grade::risky;
                    nobodys += spot.grade == Grade::unplayable;
                    all_places += 1 + spot.again.size();
                    const Note& first = stretch.played->line.notes[stretch.part.notes[spot.from].line_note];
                    told += "\n  bar " + first.source.bar + ' ' + in_full(spot);
                }
            WARN(name << ' ' << part << ": " << bars << " bars, " << awkward << " awkward, " << risky
                      << " risky, " << nobodys << " unplayable; " << all_places << " places");
            INFO(told);
            CHECK(nobodys == 0);
            CHECK(100.0 * double(risky) / bars <= 2.0);
            CHECK(100.0 * double(awkward) / bars <= 6.0);
        }
    }
}
