// SPDX-License-Identifier: MIT
// Against the Standard MIDI Files 1.0 specification (RP-001, MIDI Manufacturers Association) and our own
// reader.
#include "engine/files/read.h"
#include "engine/files/writing/write_midi.h"
#include "engine/workbench/bench.h"
#include "models/units/input_error.h"

#include <catch2/catch.hpp>

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
