// SPDX-License-Identifier: MIT
// Key signatures as the file prints them: MusicXML 4.0 <key>, Standard MIDI Files 1.0 meta event 59.
#include "engine/files/midi/read_midi.h"
#include "engine/files/musicxml/read_musicxml.h"
#include "engine/files/read.h"
#include "engine/part/choose_part.h"
#include "engine/part/pitch_basis.h"
#include "tests/support/midi_bytes.h"

#include <catch2/catch.hpp>

#include <cstdlib>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

using namespace canebrake;
namespace midi = canebrake::test;

namespace
{

using Keys = std::vector<std::pair<double, int>>;

Keys keys_of(const Line& line)
{
    Keys keys;
    for (const KeyPoint& key : line.keys)
        keys.emplace_back(key.quarter, key.fifths);
    return keys;
}

std::string signature(const std::string& inside)
{
    return "<attributes><key>" + inside + "</key></attributes>";
}
std::string fifths(int n)
{
    return signature("<fifths>" + std::to_string(n) + "</fifths>");
}
const std::string whole =
    "<note><pitch><step>G</step><octave>4</octave></pitch><duration>4</duration></note>";
const std::string half = "<note><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration></note>";
const std::string repeat_end = "<barline location=\"right\"><repeat direction=\"backward\"/></barline>";

std::string part(const std::string& id, const std::vector<std::string>& bars)
{
    std::string text = "<part id=\"" + id + "\">";
    for (std::size_t i = 0; i < bars.size(); ++i)
        text += "<measure number=\"" + std::to_string(i + 1) + "\">" +
                (i == 0 ? "<attributes><divisions>1</divisions></attributes>" : "") + bars[i] + "</measure>";
    return text + "</part>";
}

Score read_parts(const std::string& parts)
{
    return read_musicxml("<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>One"
                         "</part-name></score-part><score-part id=\"P2\"><part-name>Two</part-name>"
                         "</score-part></part-list>" +
                             parts + "</score-partwise>",
                         "keys.musicxml");
}

Line read_bars(const std::vector<std::string>& bars)
{
    return read_parts(part("P1", bars)).parts[0];
}

Line read_track(const std::string& messages)
{
    return read_midi(midi::header(0, 1, 96) + midi::track(messages), "keys.mid").parts[0];
}

} // namespace

TEST_CASE("each part keeps its own key signature, as printed", "[key][musicxml]")
{
    const Score score = read_parts(part("P1", {fifths(-1) + whole}) + part("P2", {fifths(1) + whole}));
    CHECK(keys_of(score.parts[0]) == Keys{{0.0, -1}});
    CHECK(keys_of(score.parts[1]) == Keys{{0.0, 1}});
}

TEST_CASE("a part without a key signature says nothing of its key", "[key][musicxml]")
{
    CHECK(read_bars({whole}).keys.empty());
}

TEST_CASE("all fifteen signatures are read", "[key][musicxml][midi]")
{
    for (int n = -7; n <= 7; ++n) {
        CAPTURE(n);
        CHECK(keys_of(read_bars({fifths(n) + whole})) == Keys{{0.0, n}});
        CHECK(keys_of(read_track(midi::meta(0, 0x59, midi::bytes({n, 0})) + midi::note(0, 60, 96))) ==
              Keys{{0.0, n}});
    }
}

TEST_CASE("a signature may change at a bar line or inside a bar", "[key][musicxml]")
{
    CHECK(keys_of(read_bars({fifths(2) + whole, half + fifths(-3) + half, fifths(0) + whole})) ==
          Keys{{0.0, 2}, {6.0, -3}, {8.0, 0}});
}

TEST_CASE("signatures follow the playing order through a repeat", "[key][musicxml]")
{
    // Bars 1 2 1 2 3: the key of bar 1 comes back with it.
    CHECK(keys_of(read_bars({fifths(1) + whole, fifths(4) + whole + repeat_end, whole})) ==
          Keys{{0.0, 1}, {4.0, 4}, {8.0, 1}, {12.0, 4}});
    // Nothing said at first: going back there is going back to no accidentals.
    CHECK(keys_of(read_bars({whole, fifths(4) + whole + repeat_end, whole})) ==
          Keys{{4.0, 4}, {8.0, 0}, {12.0, 4}});
}

TEST_CASE("a signature printed again is no change", "[key][musicxml]")
{
    CHECK(keys_of(read_bars({fifths(3) + whole, fifths(3) + whole})) == Keys{{0.0, 3}});
}

TEST_CASE("naturals that cancel and signatures out of the row of fifths do no harm", "[key][musicxml]")
{
    CHECK(keys_of(read_bars({fifths(3) + whole, signature("<cancel>3</cancel><fifths>-2</fifths>") +
                                                    whole})) == Keys{{0.0, 3}, {4.0, -2}});
    const std::string listed = signature("<key-step>F</key-step><key-alter>1</key-alter>"
                                         "<key-step>B</key-step><key-alter>-1</key-alter>");
    CHECK(read_bars({listed + whole}).keys.empty());
    CHECK(keys_of(read_bars({fifths(3) + whole, listed + whole})) == Keys{{0.0, 3}, {4.0, 0}});
    CHECK(read_bars({fifths(40) + whole}).keys.empty());
    CHECK(read_bars({signature("") + whole}).keys.empty());
}

TEST_CASE("of two staves the upper one's signature counts", "[key][musicxml]")
{
    const std::string both = "<attributes><key number=\"1\"><fifths>1</fifths></key>"
                             "<key number=\"2\"><fifths>-4</fifths></key></attributes>";
    CHECK(keys_of(read_bars({both + whole})) == Keys{{0.0, 1}});
}

TEST_CASE("a cut line opens in the key that was in force", "[key][cut]")
{
    const Line line = read_bars({fifths(2) + whole, whole, fifths(-1) + whole, whole});
    CHECK(keys_of(cut_to_bars(line, 2, 3)) == Keys{{0.0, 2}, {4.0, -1}});
    CHECK(keys_of(cut_to_bars(line, 4, 4)) == Keys{{0.0, -1}});
    CHECK(keys_of(cut_to_quarters(line, 6.0, 12.0)) == Keys{{0.0, 2}, {2.0, -1}});
    CHECK(keys_of(cut_to_quarters(line, 0.0, 16.0)) == keys_of(line));
    CHECK(cut_to_bars(read_bars({whole, whole}), 2, 2).keys.empty());
}

TEST_CASE("a MIDI file's key is the concert key, and changes where it says", "[key][midi]")
{
    const Line line = read_track(midi::meta(0, 0x59, midi::bytes({-2, 0})) + midi::note(0, 58, 96) +
                                 midi::meta(0, 0x59, midi::bytes({3, 1})) + midi::note(0, 61, 96));
    CHECK(keys_of(line) == Keys{{0.0, -2}, {1.0, 3}});
    CHECK(line.notes[0].printed_step == 6); // B flat
    CHECK(line.notes[0].printed_alter == -1);
    CHECK(line.notes[1].printed_step == 0); // C sharp
    CHECK(read_track(midi::note(0, 60, 96)).keys.empty());
    CHECK(read_track(midi::meta(0, 0x59, midi::bytes({12, 0})) + midi::note(0, 60, 96)).keys.empty());
}

TEST_CASE("the pitch basis does not touch what is printed, nor its keys", "[key][basis]")
{
    Line line = read_bars({fifths(2) + whole});
    set_pitch_basis(line, PitchBasis::written, -2);
    CHECK(keys_of(line) == Keys{{0.0, 2}});
    set_pitch_basis(line, PitchBasis::sounding, -2);
    CHECK(keys_of(line) == Keys{{0.0, 2}});
}

TEST_CASE("two real scores print their clarinets' keys a tone above the flutes'", "[key][reference]")
{
    // Common practice, no source: a part for the clarinet in B flat has two sharps more than the concert key.
    const char* folder = std::getenv("CANEBRAKE_SHARED");
    const auto scores = (folder ? std::filesystem::path(folder)
                                : std::filesystem::path(__FILE__).parent_path() / "../../../shared") /
                        "scores";
    for (const auto& [file, concert] : {std::pair{"beethoven-op93-3.mxl", -1}, {"brahms-op90-2.mxl", 0}}) {
        if (!std::filesystem::exists(scores / file)) {
            WARN("skipped, no reference files");
            return;
        }
        const Score score = read_score(scores / file);
        CHECK(keys_of(choose_part(score, "P1")) == Keys{{0.0, concert}});
        CHECK(keys_of(choose_part(score, "P5")) == Keys{{0.0, concert + 2}});
        CHECK(keys_of(choose_part(score, "P6")) == Keys{{0.0, concert + 2}});
    }
}
