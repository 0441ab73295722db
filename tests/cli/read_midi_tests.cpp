// SPDX-License-Identifier: MIT
#include "engine/files/midi/context.h"
#include "engine/files/midi/midi_file.h"
#include "engine/files/midi/read_midi.h"
#include "engine/files/midi/shape.h"
#include "engine/files/read.h"
#include "engine/part/choose_part.h"
#include "engine/telling/names.h"
#include "models/units/input_error.h"
#include "tests/support/midi_bytes.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <random>

using namespace canebrake;
using namespace canebrake::test;

namespace
{

Score read(const std::string& file)
{
    return read_midi(file, "a.mid");
}

/// The only line of a file with one track.
Line read_one(const std::string& messages, int division = 96)
{
    const Score score = read(header(0, 1, division) + track(messages));
    REQUIRE(score.parts.size() == 1);
    return score.parts[0];
}

bool has_remark(const std::vector<std::string>& remarks, const std::string& words)
{
    return std::any_of(remarks.begin(), remarks.end(),
                       [&](const std::string& r) { return r.find(words) != std::string::npos; });
}

std::filesystem::path shared_scores()
{
    if (const char* folder = std::getenv("CANEBRAKE_SHARED"))
        return std::filesystem::path(folder) / "scores";
    return std::filesystem::path(__FILE__).parent_path() / "../../../shared/scores";
}

/// True if the reference file is there; else says so.
bool have(const std::filesystem::path& file)
{
    if (std::filesystem::exists(file))
        return true;
    WARN("skipped, no reference files");
    return false;
}

} // namespace

// ---- reference files (see the folder's SOURCES.md)

TEST_CASE("an orchestral file gives a part a track, with names, programs and every clarinet note",
          "[midi][reference]")
{
    const auto file = shared_scores() / "beethoven-op93-3.verovio.mid";
    if (!have(file))
        return;
    const Score score = read_score(file);
    REQUIRE(score.parts.size() == 18); // 19 tracks, the first holds the tempo only
    const Line& clarinet = score.parts[4];
    CHECK(clarinet.part_id == "track 6");
    CHECK(clarinet.part_name == "B♭ Clarinet 1");
    CHECK(clarinet.midi_program == 71); // General MIDI 72, clarinet, counted from 0
    CHECK(score.parts[5].midi_program == 71);
    CHECK(clarinet.notes.size() == 298); // counted by an independent reader of the same score
    CHECK(clarinet.tempo.size() == 1);
    CHECK(clarinet.tempo[0].quarters_per_minute == Approx(126.0).margin(0.01));
    CHECK(clarinet.bars[0].beats == 3);
    CHECK(clarinet.bars[0].length_quarters == 3.0);
    // Its notes end a tick early, 239 of 240; between two notes that touch on paper there is no rest.
    CHECK(score.parts[0].notes[1].length_quarters == 2.0);
    for (std::size_t i = 1; i < clarinet.notes.size(); ++i)
        CHECK(clarinet.notes[i].start_quarter - clarinet.notes[i - 1].start_quarter >=
              clarinet.notes[i - 1].length_quarters - 1e-9);
}

TEST_CASE("running status lives on through system exclusive, as in the published test file",
          "[midi][reference]")
{
    const auto file = shared_scores() / "test-running-status-sysex.mid"; // jazz-soft/test-midi-files, MIT
    if (!have(file))
        return;
    const Score score = read_score(file);
    REQUIRE(score.parts.size() == 1);
    std::vector<int> scale; // its own text: "You must hear a C-Major scale"
    for (const Note& note : score.parts[0].notes)
        scale.push_back(note.printed);
    CHECK(scale == std::vector<int>{60, 62, 64, 65, 67, 69, 71, 72});
}

TEST_CASE("a chunk of another kind is skipped, as in the published test file", "[midi][reference]")
{
    const auto file = shared_scores() / "test-non-midi-track.mid"; // jazz-soft/test-midi-files, MIT
    if (!have(file))
        return;
    CHECK(read_score(file).parts.at(0).notes.size() == 8);
}

// ---- the file format: Standard MIDI Files 1.0 (MMA RP-001)

TEST_CASE("variable-length numbers are those of the specification's table", "[midi][literature]")
{
    // Standard MIDI Files 1.0, "Variable Length Quantity", examples (from memory): number and bytes.
    const std::vector<std::pair<std::uint32_t, std::string>> table{
        {0x00, bytes({0x00})},
        {0x40, bytes({0x40})},
        {0x7F, bytes({0x7F})},
        {0x80, bytes({0x81, 0x00})},
        {0x2000, bytes({0xC0, 0x00})},
        {0x3FFF, bytes({0xFF, 0x7F})},
        {0x4000, bytes({0x81, 0x80, 0x00})},
        {0x100000, bytes({0xC0, 0x80, 0x00})},
        {0x1FFFFF, bytes({0xFF, 0xFF, 0x7F})},
        {0x200000, bytes({0x81, 0x80, 0x80, 0x00})},
        {0x8000000, bytes({0xC0, 0x80, 0x80, 0x00})},
        {0xFFFFFFF, bytes({0xFF, 0xFF, 0xFF, 0x7F})},
    };
    for (const auto& [number, as_bytes] : table) {
        const std::string file = header(0, 1, 96) + track(as_bytes + bytes({0x90, 60, 64}));
        const MidiFile parsed = parse_midi_file(file, "a.mid");
        REQUIRE(parsed.tracks.size() == 1);
        CHECK(parsed.tracks[0].events[0].tick == number);
        CHECK(delta(number) == as_bytes); // the tests' own writer
    }
}

TEST_CASE("the specification's own example file comes out as its table says", "[midi][literature]")
{
    // Standard MIDI Files 1.0, appendix "Program Fragments and Example MIDI Files", the format 0 example
    // (from memory): 96 ticks a quarter, 4/4, tempo 500000; channel 3 plays C3 and C4 (48, 60), channel 2 G4
    // (67), channel 1 E5 (76); programs 5, 46, 70.
    const std::string file =
        header(0, 1, 96) +
        chunk("MTrk",
              bytes({0x00, 0xFF, 0x58, 0x04, 0x04, 0x02, 0x18, 0x08, 0x00, 0xFF, 0x51, 0x03, 0x07, 0xA1, 0x20,
                     0x00, 0xC0, 0x05, 0x00, 0xC1, 0x2E, 0x00, 0xC2, 0x46, 0x00, 0x92, 0x30, 0x60, 0x00, 0x3C,
                     0x60, 0x60, 0x91, 0x43, 0x40, 0x60, 0x90, 0x4C, 0x20, 0x81, 0x40, 0x82, 0x30, 0x40, 0x00,
                     0x3C, 0x40, 0x00, 0x81, 0x43, 0x40, 0x00, 0x80, 0x4C, 0x40, 0x00, 0xFF, 0x2F, 0x00}));
    const Score score = read(file);
    REQUIRE(score.parts.size() == 3);
    CHECK(score.parts[0].part_id == "channel 1");
    CHECK(score.parts[0].midi_program == 5);
    CHECK(score.parts[0].tempo[0].quarters_per_minute == 120.0);
    CHECK(score.parts[0].notes[0].printed == 76);
    CHECK(score.parts[0].notes[0].start_quarter == 2.0);
    CHECK(score.parts[0].notes[0].length_quarters == 2.0);
    CHECK(score.parts[1].midi_program == 46);
    CHECK(score.parts[1].notes[0].printed == 67);
    CHECK(score.parts[1].notes[0].start_quarter == 1.0);
    CHECK(score.parts[1].notes[0].length_quarters == 3.0);
    CHECK(score.parts[2].midi_program == 70);
    REQUIRE(score.parts[2].notes.size() == 1);
    CHECK(score.parts[2].notes[0].printed == 60); // the top of its two notes
    CHECK(score.parts[2].notes[0].length_quarters == 4.0);
    CHECK(has_remark(score.parts[2].remarks, "1 chord: the top note taken, 1 note left out"));
}

TEST_CASE("tempo and time signatures from the first track hold for every part", "[midi]")
{
    const Score score =
        read(header(1, 3, 480) +
             track(meta(0, 3, "Evening") + meta(0, 0x58, bytes({3, 2, 24, 8})) +
                   meta(0, 0x51, bytes({0x07, 0xA1, 0x20})) +  // 500000 µs
                   meta(2880, 0x58, bytes({6, 3, 24, 8})) +    // at quarter 6
                   meta(0, 0x51, bytes({0x0F, 0x42, 0x40}))) + // 1000000 µs
             track(meta(0, 3, "Low reed") + message(0, {0xC4, 71}) + note(2880 + 1680, 60, 240, 4)) +
             track(meta(0, 3, "High reed") + note(0, 72, 480, 5)));
    CHECK(score.title == "Evening");
    REQUIRE(score.parts.size() == 2);
    const Line& low = score.parts[0];
    CHECK(low.part_id == "track 2");
    CHECK(low.part_name == "Low reed");
    CHECK(low.midi_program == 71);
    REQUIRE(low.tempo.size() == 2);
    CHECK(low.tempo[1].quarter == 6.0);
    CHECK(low.tempo[1].quarters_per_minute == 60.0);
    CHECK(score.parts[1].tempo.size() == 2);
    REQUIRE(low.bars.size() == 4);
    CHECK(low.bars[1].start_quarter == 3.0);
    CHECK(low.bars[2].beats == 6);
    CHECK(low.bars[2].beat_type == 8);
    CHECK(low.bars[3].start_quarter == 9.0);
    const Note& note = low.notes[0]; // quarter 9.5: the second eighth of bar 4
    CHECK(note.source.bar == "4");
    CHECK(note.source.bar_index == 3);
    CHECK(note.source.beat == 2.0);
    CHECK(note.source.voice == "5");
    CHECK(note.source.id == "track 2 event 3");
    CHECK_FALSE(low.written_known);
    CHECK(note.sounding.number == 60.0);
    CHECK(note.printed == 60);
    CHECK(note.velocity == 80.0);
}

TEST_CASE("a time signature inside a bar cuts that bar short", "[midi]")
{
    const std::vector<Bar> bars = midi_bars({{0.0, 4, 4}, {6.0, 3, 8}}, 8.0);
    REQUIRE(bars.size() == 4);
    CHECK(bars[1].start_quarter == 4.0);
    CHECK(bars[1].length_quarters == 2.0);
    CHECK(bars[2].start_quarter == 6.0);
    CHECK(bars[2].length_quarters == 1.5);
    CHECK(bars[3].start_quarter == 7.5);
}

TEST_CASE("silence of years does not make bars without end", "[midi][safety]")
{
    const Line line = read_one(note(0, 60, 1) + note(0x0FFFFFFF, 62, 1), 1);
    CHECK(line.notes.size() == 2);
    CHECK(line.bars.size() == 20000);
    CHECK(line.notes[1].source.bar == "20000");
}

TEST_CASE("frame time comes out in the right seconds", "[midi]")
{
    // Division E7 28: 25 frames of 40 ticks, one tick a millisecond (the specification's own example).
    const Score score =
        read(header(0, 1, 0xE728) + track(meta(0, 0x51, bytes({0x0F, 0x42, 0x40})) + // means nothing here
                                          note(1000, 60, 500)));
    const Line& line = score.parts[0];
    REQUIRE(line.tempo.size() == 1);
    const double seconds_a_quarter = 60.0 / line.tempo[0].quarters_per_minute;
    CHECK(line.notes[0].start_quarter * seconds_a_quarter == Approx(1.0));
    CHECK(line.notes[0].length_quarters * seconds_a_quarter == Approx(0.5));
}

TEST_CASE("a track with several channels gives a part a channel", "[midi]")
{
    const Score score =
        read(header(1, 2, 96) + track(note(0, 60, 96, 0) + note(0, 64, 96, 9)) + track(note(0, 67, 96, 0)));
    REQUIRE(score.parts.size() == 3);
    CHECK(score.parts[0].part_id == "track 1 channel 1"); // channel 1 is in two tracks
    CHECK(score.parts[1].part_id == "channel 10");
    CHECK(score.parts[2].part_id == "track 2");
    CHECK(choose_part(score, "track 2").notes[0].printed == 67);
    CHECK(choose_part(score, "channel 10").notes[0].printed == 64);
    CHECK(choose_part(score, "3").notes[0].printed == 67);
    CHECK_THROWS_WITH(choose_part(score, "track 1"), Catch::StartsWith("found 2 parts called 'track 1'"));
}

TEST_CASE("a MIDI file in a RIFF wrapper is read", "[midi]")
{
    const std::string inner = header(0, 1, 96) + track(note(0, 60, 96));
    const auto little_endian = [](std::uint32_t v) {
        return bytes({int(v & 0xFF), int(v >> 8 & 0xFF), int(v >> 16 & 0xFF), int(v >> 24)});
    };
    const std::string body = "RMIDdata" + little_endian(std::uint32_t(inner.size())) + inner;
    CHECK(read("RIFF" + little_endian(std::uint32_t(body.size())) + body).parts[0].notes.size() == 1);
}

TEST_CASE("what cannot be read is refused in one line", "[midi][words]")
{
    CHECK_THROWS_WITH(read(header(2, 1, 96) + track(note(0, 60, 96))),
                      "a.mid: found format 2 (separate patterns), wanted format 0 or 1 (one piece of music)");
    CHECK_THROWS_WITH(read(header(7, 1, 96) + track(note(0, 60, 96))),
                      "a.mid: found format 7, wanted 0 or 1");
    CHECK_THROWS_WITH(read(header(0, 1, 0)), "a.mid: found a division of 0, wanted ticks a quarter");
    CHECK_THROWS_WITH(read("MThd"), "a.mid: breaks off in its header after 4 bytes");
    CHECK_THROWS_WITH(read(header(0, 1, 96) + track("")), "a.mid: found no notes in the MIDI file");
    CHECK_THROWS_AS(read(header(0, 1, 0x8001)), InputError);
}

// ---- one player's voice

TEST_CASE("overlapping notes are slurred, touching ones are tongued", "[midi]")
{
    const Line line = read_one(message(0, {0x90, 60, 80}) + message(96, {0x90, 62, 80}) + // 60 still down
                               message(4, {0x80, 60, 0}) + message(92, {0x80, 62, 0}) +   // 62 from 96 to 192
                               note(0, 64, 96));
    REQUIRE(line.notes.size() == 3);
    CHECK(line.notes[0].slurred_to_next);
    CHECK(line.notes[0].length_quarters == 1.0); // cut to the next note
    CHECK_FALSE(line.notes[1].slurred_to_next);
    CHECK(line.notes[1].length_quarters == 1.0);
    CHECK(line.notes[2].start_quarter == 2.0);
}

TEST_CASE("the legato pedal slurs touching notes while it is down", "[midi]")
{
    const Line line = read_one(message(0, {0xB0, 68, 127}) + note(0, 60, 96) + note(0, 62, 96) +
                               message(0, {0xB0, 68, 0}) + note(0, 64, 96));
    CHECK(line.notes[0].slurred_to_next);
    CHECK_FALSE(line.notes[1].slurred_to_next);
}

TEST_CASE("a gap of a few ticks is no rest, a staccato gap is", "[midi]")
{
    const Line line = read_one(note(0, 60, 477) + note(3, 62, 240) + note(240, 64, 480), 480);
    CHECK(line.notes[0].length_quarters == 1.0);
    CHECK_FALSE(line.notes[0].slurred_to_next);
    CHECK(line.notes[1].length_quarters == 0.5);
    CHECK(line.notes[2].start_quarter == 2.0);
}

TEST_CASE("the top note of a chord is taken, also when its keys are struck unevenly", "[midi]")
{
    const Line line = read_one(message(0, {0x90, 60, 80}) + message(2, {0x90, 67, 80}) +
                                   message(1, {0x90, 64, 80}) + message(477, {0x80, 60, 0}) +
                                   message(0, {0x80, 64, 0}) + message(0, {0x80, 67, 0}) + note(0, 62, 480),
                               480);
    REQUIRE(line.notes.size() == 2);
    CHECK(line.notes[0].printed == 67);
    CHECK(line.notes[0].start_quarter == 0.0);
    CHECK_FALSE(line.notes[0].slurred_to_next);
    CHECK(has_remark(line.remarks, "1 chord: the top note taken, 2 notes left out"));
}

TEST_CASE("a lower note inside a held one is left out", "[midi]")
{
    const Line line = read_one(message(0, {0x90, 72, 80}) + note(96, 60, 96) + message(96, {0x80, 72, 0}));
    REQUIRE(line.notes.size() == 1);
    CHECK(line.notes[0].printed == 72);
    CHECK(line.notes[0].length_quarters == 3.0);
}

TEST_CASE("notes never let go end at the next note or with the track", "[midi]")
{
    const Line line =
        read_one(message(0, {0x90, 72, 80}) + message(96, {0x90, 60, 80}) + meta(192, 1, "end"));
    REQUIRE(line.notes.size() == 2);
    CHECK(line.notes[0].length_quarters == 1.0);
    CHECK_FALSE(line.notes[0].slurred_to_next);
    CHECK(line.notes[1].length_quarters == 2.0);
    CHECK(has_remark(line.remarks, "2 notes never let go"));
}

TEST_CASE("a key struck again while down makes two notes, whichever message comes first", "[midi]")
{
    const Line release_first = read_one(note(0, 60, 96) + note(0, 60, 96));
    CHECK(release_first.notes.size() == 2);
    const Line strike_first = read_one(message(0, {0x90, 60, 80}) + message(96, {0x90, 60, 70}) +
                                       message(0, {0x80, 60, 0}) + message(96, {0x80, 60, 0}));
    REQUIRE(strike_first.notes.size() == 2);
    CHECK(strike_first.notes[1].length_quarters == 1.0);
    CHECK(strike_first.notes[1].velocity == 70.0);
}

TEST_CASE("all-notes-off and velocity zero let go", "[midi]")
{
    const Line line =
        read_one(message(0, {0x90, 60, 80}) + message(96, {0xB0, 123, 0}) + message(96, {0x90, 62, 80}) +
                 message(48, {62, 0})); // running status, velocity 0
    CHECK(line.notes[0].length_quarters == 1.0);
    CHECK(line.notes[1].length_quarters == 0.5);
    CHECK_FALSE(has_remark(line.remarks, "never let go"));
}

// ---- loudness, bends, spelling

TEST_CASE("velocities become rungs of the dynamic ladder, even steps of sixteen", "[midi]")
{
    // Common practice, no source: ppp 16, pp 32, p 48, mp 64, mf 80, f 96, ff 112, fff 127.
    const double velocities[] = {16, 32, 48, 64, 80, 96, 112};
    for (int rung = 0; rung < 7; ++rung)
        CHECK(ladder_level(velocities[rung]) == rung);
    CHECK(ladder_level(127) == Approx(7.0).margin(0.1));
    CHECK(ladder_level(0) == -1.0);
    // MusicXML 4.0, `sound` element: dynamics in percent of forte, forte = velocity 90.
    CHECK(ladder_level(90) > 4.0);
    CHECK(ladder_level(90) < 5.0);

    const Line line = read_one(note(0, 60, 96, 0, 48) + note(0, 62, 96, 0, 49) + note(0, 64, 96, 0, 96));
    REQUIRE(line.dynamics.size() == 2); // one step of velocity is less than 0.1 rung
    CHECK(line.dynamics[0].quarter == 0.0);
    CHECK(line.dynamics[0].level == 2.0);
    CHECK(line.dynamics[1].quarter == 2.0);
    CHECK(line.dynamics[1].level == 5.0);
    CHECK(line.notes[1].velocity == 49.0);
}

TEST_CASE("one velocity throughout says nothing about dynamics", "[midi]")
{
    const Line line = read_one(note(0, 60, 96) + note(0, 62, 96));
    CHECK(line.dynamics.empty());
    CHECK(has_remark(line.remarks, "velocity 80 throughout"));
}

TEST_CASE("breath goes before expression, expression before velocity, and volume scales", "[midi]")
{
    const std::string played = note(0, 60, 96, 0, 16) + note(0, 62, 96, 0, 112);
    const auto swell = [&](int controller) {
        return message(0, {0xB0, controller, 48}) + message(0, {0x90, 60, 16}) +
               message(48, {0xB0, controller, 64}) + message(24, {0xB0, controller, 65}) +
               message(24, {0x80, 60, 0}) + message(0, {0xB0, controller, 80}) + note(0, 62, 96, 0, 112);
    };
    for (const int controller : {2, 11}) {
        const Line line = read_one(swell(controller));
        REQUIRE(line.dynamics.size() == 3); // 65 is too near 64
        CHECK(line.dynamics[0].level == 2.0);
        CHECK(line.dynamics[1].quarter == 0.5);
        CHECK(line.dynamics[1].level == 3.0);
        CHECK(line.dynamics[2].quarter == 1.0);
        CHECK(line.dynamics[2].level == 4.0);
    }
    // Volume alone: velocity 96 at full, then halved, 48.
    const Line faded = read_one(message(0, {0xB0, 7, 100}) + message(0, {0x90, 60, 96}) +
                                message(96, {0xB0, 7, 50}) + message(96, {0x80, 60, 0}));
    REQUIRE(faded.dynamics.size() == 2);
    CHECK(faded.dynamics[0].level == 5.0);
    CHECK(faded.dynamics[1].quarter == 1.0);
    CHECK(faded.dynamics[1].level == 2.0);
    // Volume set once is the mixer's, not the player's.
    CHECK(read_one(message(0, {0xB0, 7, 30}) + played).dynamics[0].level == 0.0);
}

TEST_CASE("pitch bend is 14 bits over the range that the file sets", "[midi]")
{
    // MIDI 1.0: centre 8192, two semitones until registered parameter 0,0 says otherwise (from memory).
    const Line two = read_one(message(0, {0x90, 60, 80}) + message(48, {0xE0, 0, 0x60}) +
                              message(48, {0xE0, 0, 0x40}) + message(96, {0x80, 60, 0}));
    REQUIRE(two.bends.size() == 2);
    CHECK(two.bends[0].quarter == 0.5);
    CHECK(two.bends[0].semitones == 1.0); // 0x60 << 7 is half way up
    CHECK(two.bends[1].semitones == 0.0);
    const Line twelve =
        read_one(message(0, {0xB0, 101, 0}) + message(0, {0xB0, 100, 0}) + message(0, {0xB0, 6, 12}) +
                 message(0, {0x90, 60, 80}) + message(48, {0xE0, 0, 0}) + message(48, {0x80, 60, 0}));
    REQUIRE(twelve.bends.size() == 1);
    CHECK(twelve.bends[0].semitones == -12.0);
}

TEST_CASE("notes are spelled with sharps, or as the key signature asks", "[midi]")
{
    const auto spelled = [](int key_sharps, int number) {
        const Spelling s = spell(number, key_sharps);
        return std::pair{s.step, s.alter};
    };
    CHECK(spelled(0, 61) == std::pair{0, 1});   // C major: C♯
    CHECK(spelled(0, 63) == std::pair{2, -1});  // E♭
    CHECK(spelled(-3, 68) == std::pair{5, -1}); // E♭ major: A♭
    CHECK(spelled(-3, 66) == std::pair{4, -1}); // G♭, its flat third
    CHECK(spelled(4, 63) == std::pair{1, 1});   // E major: D♯
    CHECK(spelled(7, 60) == std::pair{6, 1});   // C♯ major: B♯
    CHECK(spelled(-7, 64) == std::pair{3, -1}); // C♭ major: F♭
    for (int key = -7; key <= 7; ++key)
        for (int number = 60; number < 72; ++number) {
            static constexpr int natural[] = {0, 2, 4, 5, 7, 9, 11};
            const Spelling s = spell(number, key);
            CHECK((natural[s.step] + s.alter + 120) % 12 == number % 12);
        }
    CHECK(read_one(note(0, 70, 96)).notes[0].printed_alter == 1); // no key signature: A♯
    const Line flats = read_one(meta(0, 0x59, bytes({0xFE, 0})) + note(0, 70, 96));
    CHECK(flats.notes[0].printed_step == 6);
    CHECK(flats.notes[0].printed_alter == -1);
}

TEST_CASE("names that are not UTF-8 are taken as Latin-1", "[midi]")
{
    CHECK(clean_text("Clarinette en si\xE9\n") == "Clarinette en sié");
    CHECK(clean_text("B♭ Clarinet") == "B♭ Clarinet");
}

// ---- damage

TEST_CASE("illegal messages are skipped and named", "[midi][safety]")
{
    const Line line = read_one(note(0, 60, 96) + message(0, {0xF4}) + message(0, {0xF2, 1, 2}) +
                               message(0, {0x90, 0x8C, 80}) + note(0, 62, 96));
    CHECK(line.notes.size() == 2);
    CHECK(has_remark(line.remarks, "track 1, byte 31: message F4, which a file may not hold, skipped"));
    CHECK(has_remark(line.remarks, "illegal messages in this track: 3"));
}

TEST_CASE("a file that breaks off is read up to there", "[midi][safety]")
{
    const std::string whole = header(0, 1, 96) + track(note(0, 60, 96) + note(0, 62, 96) + note(0, 64, 96));
    const Score score = read(whole.substr(0, 22 + 2 * 8 + 2)); // two notes and half a message
    REQUIRE(score.parts.size() == 1);
    CHECK(score.parts[0].notes.size() == 2);
    CHECK(has_remark(score.parts[0].remarks, "track 1, byte 40: the track breaks off inside a message"));
}

TEST_CASE("damage between tracks costs only what lies there", "[midi][safety]")
{
    const Score score =
        read(header(1, 2, 96) + track(note(0, 60, 96)) + bytes({1, 2, 3}) + track(note(0, 62, 96)));
    REQUIRE(score.parts.size() == 2);
    CHECK(has_remark(score.remarks, "found no chunk here, went on at the next track"));
}

TEST_CASE("four hundred damaged files give a score or an error, never a crash", "[midi][safety]")
{
    std::string lead = meta(0, 3, "Lead") + meta(0, 0x59, bytes({0xFE, 0})) + message(0, {0xB0, 101, 0}) +
                       message(0, {100, 0}) + message(0, {6, 12});
    for (int i = 0; i < 24; ++i)
        lead += message(0, {0xE0, i, 64 + i}) + message(0, {0xB0, 2, 40 + 3 * i}) +
                note(i % 3, 60 + i % 13, 90, i % 2, 50 + i);
    const std::string whole =
        header(1, 3, 96) +
        track(meta(0, 0x58, bytes({3, 2, 24, 8})) + meta(0, 0x51, bytes({0x07, 0xA1, 0x20})) +
              meta(600, 0x58, bytes({6, 3, 24, 8}))) +
        chunk("Xtra", "skip me") + track(lead + delta(0) + bytes({0xF0, 3, 1, 2, 0xF7})) +
        track(note(0, 48, 700, 3));
    REQUIRE(read(whole).parts.size() == 3);
    constexpr std::uint32_t seed = 20240611;
    INFO("seed " << seed);
    std::mt19937 random(seed); // its numbers are the same everywhere; distributions' are not
    int scores = 0, errors = 0;
    for (int variant = 0; variant < 400; ++variant) {
        std::string damaged = whole;
        if (variant % 4 == 3)
            damaged.resize(random() % whole.size());
        const int flips = variant % 4 == 3 ? 0 : 1 << (random() % 5);
        for (int i = 0; i < flips; ++i)
            damaged[random() % damaged.size()] = char(random() & 0xFF);
        try {
            const Score score = read(damaged);
            ++scores;
            for (const Line& line : score.parts)
                for (std::size_t i = 0; i < line.notes.size(); ++i) {
                    REQUIRE(line.notes[i].length_quarters > 0.0);
                    REQUIRE((i == 0 || line.notes[i].start_quarter >= line.notes[i - 1].start_quarter +
                                                                          line.notes[i - 1].length_quarters -
                                                                          1e-6));
                }
        } catch (const InputError& error) {
            ++errors;
            CHECK(std::string(error.what()).starts_with("a.mid: "));
        }
    }
    CHECK(scores + errors == 400);
    CHECK(scores > 200); // most damage leaves music to be saved
}
