// SPDX-License-Identifier: MIT
// A part written for another clarinet. Which key it then stands in is common practice, no source.
#include "engine/files/read.h"
#include "engine/part/choose_part.h"
#include "engine/spelling/key.h"
#include "engine/spelling/transposed.h"
#include "tests/engine/spelling_lines.h"

#include <catch2/catch.hpp>

using namespace canebrake;
using namespace canebrake::test;

namespace
{

void check_sounds_the_same(const Line& a, const Line& b)
{
    REQUIRE(a.notes.size() == b.notes.size());
    for (std::size_t i = 0; i < a.notes.size(); ++i) {
        CHECK(a.notes[i].sounding == b.notes[i].sounding);
        const int place = fifths_of(printed_name(b.notes[i]));
        CHECK(positive_mod(7 * place - b.notes[i].printed, 12) == 0);
    }
}

} // namespace

TEST_CASE("a part in C for the clarinet in B flat is in B flat at concert pitch and in D flat for the A",
          "[transposed]")
{
    const Line line = printed_line("C5 D5 E5 F5 | F#5 G5 A5 C6", 0, -2);
    const Line concert = transpose_line(line, 0);
    CHECK(concert.keys[0].fifths == -2);
    CHECK(names_of(concert) == "Bb C D Eb E F G Bb");
    CHECK(concert.notes[0].printed == 70);
    const Line for_a = transpose_line(line, -3);
    CHECK(for_a.keys[0].fifths == -5);
    CHECK(names_of(for_a) == "Db Eb F Gb G Ab Bb Db");
    check_sounds_the_same(line, concert);
    check_sounds_the_same(line, for_a);
}

TEST_CASE("concert pitch into each clarinet's own key", "[transposed]")
{
    const auto written = [](const std::string& names, int concert, int transposition) {
        const Line line = transpose_line(printed_line(names, concert), transposition);
        return std::pair{names_of(line), line.keys[0].fifths};
    };
    CHECK(written("Bb4 C5 D5 Eb5", -2, -2) == std::pair{std::string("C D E F"), 0});
    CHECK(written("C5 D5 E5 F5", 0, -2) == std::pair{std::string("D E F# G"), 2});
    CHECK(written("A4 B4 C#5 D5", 3, -3) == std::pair{std::string("C D E F"), 0});
    CHECK(written("E4 F#4 G#4 A4", 4, -3) == std::pair{std::string("G A B C"), 1});
    CHECK(written("Eb4 F4 G4 Ab4", -3, 3) == std::pair{std::string("C D E F"), 0});
    CHECK(written("E4 F#4 G#4 A4", 4, -2) == std::pair{std::string("F# G# A# B"), 6});
    CHECK(written("E4 F#4 G#4 A4", 4, 3) ==
          std::pair{std::string("Db Eb F Gb"), -5}); // five flats, not seven sharps
    CHECK(written("Bb2 C3 D3 Eb3", -2, -14) == std::pair{std::string("C D E F"), 0});
}

TEST_CASE("a lowered sixth does not become a double flat, nor a raised note a double sharp", "[transposed]")
{
    // Concert B double flat would come of F flat in A flat, written a fourth higher.
    const Line flat = transpose_line(printed_line("Ab4 Fb5 Eb5 Ab4", -4, 0), -5);
    CHECK(flat.keys[0].fifths == -5);
    CHECK(names_of(flat) == "Db A Ab Db");
    const Line sharp = transpose_line(printed_line("D5 E#5 F#5 D5", 2, 0), -4);
    CHECK(sharp.keys[0].fifths == 6);
    CHECK(names_of(sharp) == "F# A A# F#");
    // but the leading note of D sharp minor keeps its letter, unless plain names are asked for
    const Line minor = printed_line("B4 A#4 B4 F#5", 2, 0);
    CHECK(names_of(transpose_line(minor, -4)) == "D# C## D# A#");
    CHECK(names_of(transpose_line(minor, -4, {.plain = true})) == "D# D D# A#");
}

TEST_CASE("there and back is the same page in every key and for every clarinet", "[transposed][invariant]")
{
    for (int fifths = -5; fifths <= 5; ++fifths)
        for (const int transposition : {3, 2, 0, -2, -3, -7, -9, -14, -21, -26}) {
            Line line = printed_line("C4 D4 E4 F4 G4 A4 B4 C5 D5 E5", 0, -2);
            for (Note& note : line.notes) { // moved into the key along the line of fifths
                const NoteName name = name_at(fifths_of(printed_name(note)) + fifths);
                note.printed += positive_mod(7 * fifths, 12);
                note.sounding.number += positive_mod(7 * fifths, 12);
                note.printed_step = name.step;
                note.printed_alter = name.alter;
            }
            line.keys = {{0.0, fifths}};
            const Line there = transpose_line(line, transposition), back = transpose_line(there, -2);
            CAPTURE(fifths, transposition, names_of(line), names_of(there), names_of(back));
            check_sounds_the_same(line, there);
            CHECK(names_of(back) == names_of(line));
            CHECK(back.keys[0].fifths == fifths);
            for (std::size_t i = 0; i < line.notes.size(); ++i) {
                CHECK(there.notes[i].printed + transposition == line.notes[i].sounding.number);
                CHECK(in_signature(fifths_of(printed_name(there.notes[i])), there.keys[0].fifths));
            }
        }
}

TEST_CASE("microtones, marks, tempo and bars stay", "[transposed]")
{
    Line line = printed_line("C5 D5 | E5 F5", 0, -2);
    line.notes[1].sounding.number += 0.5;
    line.notes[2].articulations = art_accent;
    line.notes[2].slurred_to_next = true;
    line.tempo = {{0.0, 72.0, false}};
    const Line other = transpose_line(line, -3);
    CHECK(other.notes[1].sounding.number == line.notes[1].sounding.number);
    CHECK(other.notes[1].printed == line.notes[1].printed + 1);
    CHECK(other.notes[2].articulations == art_accent);
    CHECK(other.notes[2].slurred_to_next);
    CHECK(other.tempo.size() == 1);
    CHECK(other.bars.size() == line.bars.size());
    CHECK(other.written_known);
}

TEST_CASE("where no signature is printed it is estimated", "[transposed]")
{
    Line line = printed_line("Bb4 C5 D5 Eb5 F5 G5 A5 Bb5 F5 D5 Bb4", 0, 0);
    line.keys.clear();
    const Line written = transpose_line(line, -2);
    REQUIRE(written.keys.size() == 1);
    CHECK(written.keys[0].fifths == 0);
    CHECK(names_of(written) == "C D E F G A B C G E C");
    Line row = printed_line("C5 C#5 D5 D#5 E5 F5 F#5 G5 G#5 A5 A#5 B5", 0, 0);
    row.keys.clear();
    CHECK(transpose_line(row, -2).keys.empty()); // no key, no signature
}

TEST_CASE("each stretch moves by its own distance where the part changes instrument", "[transposed]")
{
    // Two bars for B flat in D, two for A in E flat: both sound in C.
    Line line = printed_line("D5 E5 F#5 G5 | Eb5 F5 G5 Ab5", 2, -2);
    line.keys.push_back({4.0, -3});
    for (std::size_t i = 4; i < 8; ++i)
        line.notes[i].sounding.number -= 1.0;
    const Line concert = transpose_line(line, 0);
    CHECK(names_of(concert) == "C D E F C D E F");
    REQUIRE(concert.keys.size() == 1); // the same signature, not printed twice
    CHECK(concert.keys[0].fifths == 0);
    const Line all_b_flat = transpose_line(line, -2);
    CHECK(names_of(all_b_flat) == "D E F# G D E F# G");
    CHECK(all_b_flat.keys.size() == 1);
}

TEST_CASE("the same transposition leaves the page as it is", "[transposed]")
{
    const Line line = printed_line("C5 Db5 C#5 B##4", 7, -2);
    const Line same = transpose_line(line, -2);
    CHECK(names_of(same) == names_of(line));
    CHECK(same.keys[0].fifths == 7);
}

TEST_CASE("real clarinet parts go to other clarinets and back note for note", "[transposed][reference]")
{
    for (const char* file : {"beethoven-op93-3.mxl", "brahms-op90-2.mxl"}) {
        if (!std::filesystem::exists(shared_scores() / file)) {
            WARN("skipped, no reference files");
            return;
        }
        const Score score = read_score(shared_scores() / file);
        for (const char* part : {"P5", "P6"})
            for (const int transposition : {0, -3, 3, -14}) {
                const Line line = choose_part(score, part);
                const Line there = transpose_line(line, transposition);
                check_sounds_the_same(line, there);
                CHECK(names_of(transpose_line(there, -2)) == names_of(line));
                if (transposition == 0) // concert pitch is what the flutes print
                    CHECK(there.keys[0].fifths == choose_part(score, "P1").keys[0].fifths);
            }
    }
}
