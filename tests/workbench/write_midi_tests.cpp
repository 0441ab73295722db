// SPDX-License-Identifier: MIT
// Against the Standard MIDI Files 1.0 specification (RP-001, MIDI Manufacturers Association) and our own
// reader.
#include "engine/files/read.h"
#include "engine/files/writing/write_midi.h"
#include "engine/workbench/bench.h"
#include "models/units/input_error.h"

#include <catch2/catch.hpp>

#include <set>
#include <string>

using namespace canebrake;

namespace
{

std::string midi_of(const std::string& phrase)
{
    LineRequest request;
    request.pitch = PitchBasis::written;
    return Bench::of_phrase(phrase).part_as_midi(request);
}

} // namespace

TEST_CASE("a MIDI file begins with the header chunk of the specification", "[midi]")
{
    const std::string bytes = midi_of("C5");
    // MThd, length 6, format 1, two tracks, 960 ticks a quarter.
    CHECK(bytes.substr(0, 14) == std::string("MThd\0\0\0\6\0\1\0\2\3\xC0", 14));
    CHECK(bytes.substr(14, 4) == "MTrk");
    CHECK(bytes.substr(bytes.size() - 3) == std::string("\xFF\x2F\0", 3)); // End of Track
}

TEST_CASE("notes, tempo, metre and slurs come back from a MIDI file", "[midi]")
{
    const Score again = read_score(midi_of("tempo 90 meter 3/4 p C5 D5_E5 bar f 3/4 Bb3"), "again");
    REQUIRE(again.parts.size() == 1);
    const Line& line = again.parts[0];
    REQUIRE(line.notes.size() == 4);
    const int sounding[] = {70, 72, 74, 56}; // two semitones below what is written
    const double starts[] = {0.0, 1.0, 2.0, 3.0};
    for (std::size_t i = 0; i < 4; ++i) {
        CHECK(line.notes[i].sounding.number == sounding[i]);
        CHECK(line.notes[i].start_quarter == Approx(starts[i]).margin(1e-6));
    }
    CHECK(line.notes[3].length_quarters == Approx(3.0).margin(1e-3));
    CHECK(line.notes[1].slurred_to_next);
    CHECK(!line.notes[2].slurred_to_next);
    CHECK(line.tempo.at(0).quarters_per_minute == Approx(90.0).margin(0.001));
    REQUIRE(!line.bars.empty());
    CHECK(line.bars[0].beats == 3);
    CHECK(dynamic_at(line.dynamics, 0.0) == Approx(2.0).margin(0.1)); // p
    CHECK(dynamic_at(line.dynamics, 3.5) == Approx(5.0).margin(0.1)); // f
}

TEST_CASE("a tempo and a dynamic that change gradually come back from a MIDI file in time", "[midi]")
{
    Line line;
    for (int i = 0; i < 17; ++i) {
        Note note;
        note.sounding.number = 60 + i % 2;
        note.start_quarter = i;
        note.length_quarters = 1.0;
        line.notes.push_back(note);
    }
    line.end_quarter = 17.0;
    line.tempo = {{0.0, 120.0, true}, {8.0, 60.0, false}, {12.0, 120.0, false}};
    line.dynamics = {{0.0, 1.0, true}, {8.0, 5.0, false}, {12.0, 2.0, false}}; // pp swells to f, then p
    const Score again = read_score(write_midi("slower", {{line, "part", 71}}), "again");
    REQUIRE(again.parts.size() == 1);
    const TempoMap meant(line.tempo), read(again.parts[0].tempo);
    for (const double quarter : {2.0, 4.0, 8.0, 12.0, 17.0}) {
        CAPTURE(quarter);
        // Steps of an eighth: each keeps the tempo of its beginning.
        CHECK(read.seconds_at(quarter) == Approx(meant.seconds_at(quarter)).epsilon(0.03));
        CHECK(dynamic_at(again.parts[0].dynamics, quarter - 0.01) ==
              Approx(dynamic_at(line.dynamics, quarter - 0.01)).margin(0.5));
    }
    // Inside the long note too, where no note begins.
    line.notes = {line.notes[0]};
    line.notes[0].length_quarters = 16.0;
    const Score swell = read_score(write_midi("swell", {{line, "part", 71}}), "swell");
    REQUIRE(swell.parts.at(0).notes.size() == 1);
    for (const double quarter : {2.0, 4.0, 6.0, 10.0})
        CHECK(dynamic_at(swell.parts[0].dynamics, quarter) ==
              Approx(dynamic_at(line.dynamics, quarter)).margin(0.5));
}

TEST_CASE("no part of a MIDI file plays on the drums' channel", "[midi][literature]")
{
    // General MIDI 1: the tenth channel is kept for percussion.
    Line line;
    Note note;
    note.sounding.number = 60;
    line.notes = {note};
    line.end_quarter = 1.0;
    const std::vector<MidiPart> parts(15, {line, "part", 71});
    std::set<std::string> channels;
    for (const Line& part : read_score(write_midi("many", parts), "many").parts)
        channels.insert(part.notes.at(0).source.voice);
    CHECK(channels.size() == 15);
    CHECK(channels.count("10") == 0);
}

TEST_CASE("sixteen parts fit a MIDI file and a seventeenth is refused", "[midi]")
{
    Line line;
    Note note;
    note.sounding.number = 60;
    line.notes = {note};
    line.end_quarter = 1.0;
    std::vector<MidiPart> parts(16, {line, "part", 71});
    CHECK(read_score(write_midi("many", parts), "many").parts.size() == 16);
    parts.push_back(parts.front());
    CHECK_THROWS_AS(write_midi("many", parts), InputError);
    CHECK_THROWS_AS(write_midi("none", {}), InputError);
}
