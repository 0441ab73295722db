// SPDX-License-Identifier: MIT
// What is hard to read at sight: common practice, no source.
#include "engine/files/read.h"
#include "engine/part/choose_part.h"
#include "engine/spelling/reading.h"
#include "engine/spelling/spell.h"
#include "engine/spelling/transposed.h"
#include "tests/engine/spelling_lines.h"

#include <catch2/catch.hpp>

using namespace canebrake;
using namespace canebrake::test;

namespace
{

std::vector<ReadingFinding> findings(const std::string& names, int fifths = 0)
{
    return hard_to_read(printed_line(names, fifths));
}

} // namespace

TEST_CASE("six and seven accidentals are hard to read, five are not", "[reading]")
{
    for (int fifths = -7; fifths <= 7; ++fifths) {
        Line line = printed_line("C5 D5 E5 F5", fifths);
        respell(line.notes, line.keys);
        const auto found = hard_to_read(line);
        CAPTURE(fifths);
        if (std::abs(fifths) <= 5) {
            CHECK(found.empty());
            continue;
        }
        REQUIRE(found.size() == 1);
        CHECK(found[0].kind == ReadingFinding::remote_key);
        CHECK(found[0].grade == Grade::awkward);
        CHECK(found[0].count == 4);
        CHECK(found[0].detail ==
              "the signature has " + std::to_string(std::abs(fifths)) + (fifths > 0 ? " sharps" : " flats"));
    }
}

TEST_CASE("a remote key is one finding for each stretch that has notes", "[reading]")
{
    Line line = printed_line("F#5 G#5 | G5 A5 | F#5 G#5", 6);
    line.keys = {{0.0, 6}, {2.0, 0}, {4.0, 6}, {6.0, 7}};
    const auto found = hard_to_read(line);
    REQUIRE(found.size() == 2); // nothing is played in the last key
    CHECK((found[0].from == 0 && found[0].to == 1));
    CHECK((found[1].from == 4 && found[1].to == 5));
}

TEST_CASE("double accidentals are one finding a run of bars", "[reading]")
{
    const auto found = findings("F##4 A4 C5 D5 | E5 Bbb4 C5 D5 | C5 D5 E5 F5 | G5 A5 G5 F5 | C##5 E5 E5 F5");
    REQUIRE(found.size() == 2);
    CHECK(found[0].kind == ReadingFinding::double_accidental);
    CHECK(found[0].count == 2);
    CHECK(found[0].from == 0);
    CHECK(found[0].to == 5);
    CHECK(found[1].count == 1);
    CHECK(found[1].detail == "C##5 is a double accidental for D5");
    CHECK(findings("G4 A4 C5 D5").empty()); // the same notes, plainly named
}

TEST_CASE("a double sharp is right where it leads in a key of many sharps", "[reading]")
{
    CHECK(findings("D#5 F##4 G#4 B4", 5).empty());
    CHECK(findings("D#5 F##4 F##4 G#4", 5).empty());   // repeated, then on
    CHECK(findings("D#5 F##4 A#4 D#5", 5).empty());    // in the chord on the fifth of its minor key
    CHECK(findings("F#5 C##5 D#5 F#5", 5).empty());    // another leading note
    CHECK(findings("F#5 C##5 A#4 B4", 5).size() == 1); // it leads nowhere
    CHECK(findings("D5 F##4 G#4 B4", 2).size() == 1);  // too few sharps to be at home
    CHECK(findings("Db5 Bbb4 Ab4 Db5", -5).size() == 1);
    const auto remote = findings("A#4 C##5 D#5 F#5", 6);
    REQUIRE(remote.size() == 1);
    CHECK(remote[0].kind == ReadingFinding::remote_key);
    CHECK(remote[0].detail == "the signature has 6 sharps, and a double sharp for leading notes");
}

TEST_CASE("one pitch under two names in a row is misspelt", "[reading]")
{
    const auto found = findings("G4 Gb4 F#4 G4");
    REQUIRE(found.size() == 1);
    CHECK(found[0].kind == ReadingFinding::misspelt_chromatic);
    CHECK((found[0].from == 1 && found[0].to == 2));
    CHECK(found[0].detail == "Gb4 and F#4 are one pitch under two names");
    CHECK(findings("G4 F#4 F#4 G4").empty());
    CHECK(findings("G4 Gb4 - F#4 G4").empty()); // a rest between: two things
    Line line = printed_line("Gb4 F#4", -6);    // where the key changes it is how one writes it
    line.keys.push_back({1.0, 4});
    CHECK(hard_to_read(line).size() == 1); // the six flats only
}

TEST_CASE("strange intervals on both sides need company to be a finding", "[reading]")
{
    CHECK(findings("E4 Ab4 E4 C4").empty()); // one is licence
    const auto mixed = findings("E4 Ab4 E4 G#4 | E4 C4 D4 E4");
    REQUIRE(mixed.size() == 1);
    CHECK(mixed[0].detail == "Ab4 between E4 and E4 would read plainly as G#4");
    CHECK(mixed[0].count == 1);
    const auto many = findings("E4 Ab4 E4 Ab4 E4 Ab4 E4 C4");
    REQUIRE(many.size() == 1);
    CHECK(many[0].count == 3);
    CHECK(findings("E4 G#4 E4 G#4 E4 G#4 E4 C4").empty());   // the cause taken away
    CHECK(findings("C#4 C4 C#4 C4 C#4 C4 C#4 B#3").empty()); // B sharp would be no easier
}

TEST_CASE("ordinary chromatic writing is not nagged at", "[reading]")
{
    CHECK(findings("C4 C#4 D4 D#4 E4 F4 F#4 G4 G#4 A4 A#4 B4 C5").empty());
    CHECK(findings("C5 B4 Bb4 A4 Ab4 G4 Gb4 F4 E4 Eb4 D4 Db4 C4").empty());
    CHECK(findings("C4 C#4 D4 Eb4 E4 F4 F#4 G4 Ab4 A4 Bb4 B4 C5").empty()); // the harmonic chromatic scale
    CHECK(findings("C4 C#4 D4 D#4 D4 Db4 C4").empty());                     // up and down
    CHECK(findings("A4 G#4 F4 E4 | F4 G#4 A4 B4").empty()); // harmonic minor's augmented second
    CHECK(findings("B4 D5 F5 G#5 | F5 D5 B4 G#4").empty()); // diminished seventh
    CHECK(findings("G4 F#4 G4 C#5 | D5 Eb5 D5 C5").empty());
}

TEST_CASE("what an ornament is written out into is not on the page", "[reading]")
{
    Line line = printed_line("C5 D5 E5 F5 | G5 F5 E5 D5", 6);
    respell(line.notes, line.keys);
    line.notes[2].ornaments.push_back({OrnamentKind::trill, 2, 0, 1, 1});
    line.notes[6].ornaments.push_back({OrnamentKind::turn, 1, 0, 2, 1});
    Line written_out = line;
    write_out_ornaments(written_out);
    REQUIRE(written_out.notes.size() > line.notes.size() + 4);
    const auto found = hard_to_read(written_out);
    REQUIRE(found.size() == 1); // the six sharps
    CHECK(found[0].from == 0);
    CHECK(found[0].to == written_out.notes.size() - 1);
}

TEST_CASE("what we name ourselves is easy to read", "[reading][twin]")
{
    for (int fifths = -5; fifths <= 5; ++fifths) {
        Line line =
            printed_line("C4 C#4 D4 D#4 | E4 F4 F#4 G4 | G#4 A4 A#4 B4 | C5 B4 A#4 A4 | G#4 G4 F#4 F4 | "
                         "E4 D#4 D4 C#4 | C4 E4 G#4 E4 | G#4 E4 A4 C5 | Ab4 F4 Ab4 C5 | Eb4 Gb4 Bb4 Eb5",
                         fifths);
        respell(line.notes, line.keys);
        CAPTURE(fifths, names_of(line));
        CHECK(hard_to_read(line).empty());
    }
}

TEST_CASE("nothing is hard to read in the clarinet parts of two real scores, for B flat or for A",
          "[reading][reference]")
{
    for (const char* file : {"beethoven-op93-3.mxl", "brahms-op90-2.mxl"}) {
        if (!std::filesystem::exists(shared_scores() / file)) {
            WARN("skipped, no reference files");
            return;
        }
        const Score score = read_score(shared_scores() / file);
        for (const char* part : {"P5", "P6"}) {
            const Line line = choose_part(score, part);
            CHECK(hard_to_read(line).empty());
            CHECK(hard_to_read(transpose_line(line, -3)).empty());
        }
    }
}
