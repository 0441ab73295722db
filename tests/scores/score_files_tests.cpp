// SPDX-License-Identifier: MIT
// assets/scores: each score says the same in its three file forms, and what SOURCES.md there says of it.
#include "engine/files/read.h"
#include "models/instruments/family.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

using namespace canebrake;

namespace
{

const std::vector<std::string> all_scores{"quartet", "solo", "doubler"};

Score score(const std::string& file)
{
    return read_score(std::filesystem::path(CANEBRAKE_SOURCE_DIR) / "assets/scores" / file);
}

/// A note, or all that several files must agree on.
struct Told {
    double start, length, sounding;
    bool slurred;
    friend bool operator==(const Told&, const Told&) = default;
    friend std::ostream& operator<<(std::ostream& out, const Told& t)
    {
        return out << t.sounding << " at " << t.start << " for " << t.length << (t.slurred ? " slurred" : "");
    }
};

Told told(const Note& note)
{
    return {note.start_quarter, note.length_quarters, note.sounding.number, note.slurred_to_next};
}

std::vector<std::string> instruments_of(const Line& line)
{
    std::vector<std::string> names;
    for (const InstrumentStretch& stretch : line.instruments)
        names.push_back(stretch.name);
    return names;
}

std::vector<std::string> bar_numbers(const Line& line)
{
    std::vector<std::string> numbers;
    for (const Bar& bar : line.bars)
        numbers.push_back(bar.number);
    return numbers;
}

/// What SOURCES.md says of a part.
struct Stated {
    std::string name;
    std::vector<std::string> instruments;
    std::size_t notes;
};

void check_parts(const std::string& stem, const std::string& title, const std::vector<Stated>& stated)
{
    for (const char* form : {".musicxml", ".mxl", ".mid"}) {
        const Score read = score(stem + form);
        CAPTURE(stem, form);
        CHECK(read.title == title);
        REQUIRE(read.parts.size() == stated.size());
        for (std::size_t i = 0; i < stated.size(); ++i) {
            CHECK(read.parts[i].part_name == stated[i].name);
            CHECK(instruments_of(read.parts[i]) == stated[i].instruments);
            CHECK(read.parts[i].notes.size() == stated[i].notes);
        }
    }
}

} // namespace

TEST_CASE("a score reads the same compressed as plain", "[scores]")
{
    for (const std::string& stem : all_scores) {
        const Score plain = score(stem + ".musicxml"), packed = score(stem + ".mxl");
        REQUIRE(packed.parts.size() == plain.parts.size());
        for (std::size_t p = 0; p < plain.parts.size(); ++p) {
            const Line &one = plain.parts[p], &other = packed.parts[p];
            CAPTURE(stem, one.part_name);
            CHECK(other.part_id == one.part_id);
            CHECK(bar_numbers(other) == bar_numbers(one));
            REQUIRE(other.notes.size() == one.notes.size());
            for (std::size_t i = 0; i < one.notes.size(); ++i) {
                CAPTURE(i);
                CHECK(told(other.notes[i]) == told(one.notes[i]));
                CHECK(other.notes[i].printed == one.notes[i].printed);
                CHECK(other.notes[i].articulations == one.notes[i].articulations);
                CHECK(other.notes[i].source.id == one.notes[i].source.id);
            }
        }
    }
}

TEST_CASE("a score sounds the same notes at the same beats from its MIDI file", "[scores]")
{
    constexpr double tick = 1.0 / 480.0;
    for (const std::string& stem : all_scores) {
        const Score printed = score(stem + ".musicxml"), midi = score(stem + ".mid");
        REQUIRE(midi.parts.size() == printed.parts.size());
        for (std::size_t p = 0; p < printed.parts.size(); ++p) {
            const Line &paper = printed.parts[p], &keys = midi.parts[p];
            REQUIRE(keys.notes.size() == paper.notes.size());
            for (std::size_t i = 0; i < paper.notes.size(); ++i) {
                const Told wanted = told(paper.notes[i]), found = told(keys.notes[i]);
                CAPTURE(stem, paper.part_name, paper.notes[i].source.bar, wanted, found);
                CHECK(found.sounding == wanted.sounding);
                CHECK(found.start == Approx(wanted.start).margin(1e-9));
                // A key is let go half way through a staccato note; on paper it keeps its value.
                const bool staccato = (paper.notes[i].articulations & art_staccato) != 0;
                CHECK(found.length == Approx(staccato ? wanted.length / 2.0 : wanted.length).margin(tick));
                CHECK(found.slurred == wanted.slurred);
                const double level = dynamic_at(paper.dynamics, wanted.start);
                CHECK(dynamic_at(keys.dynamics, wanted.start) == Approx(level).margin(0.55));
            }
        }
    }
}

TEST_CASE("a score keeps its tempo, its metre and the length of its bars in MIDI", "[scores]")
{
    for (const std::string& stem : all_scores) {
        const Score printed = score(stem + ".musicxml"), midi = score(stem + ".mid");
        for (std::size_t p = 0; p < printed.parts.size(); ++p) {
            const Line &paper = printed.parts[p], &keys = midi.parts[p];
            const TempoMap wanted(paper.tempo), found(keys.tempo);
            CAPTURE(stem, paper.part_name);
            for (const Note& note : paper.notes)
                CHECK(found.seconds_at(note.start_quarter) ==
                      Approx(wanted.seconds_at(note.start_quarter)).margin(1e-3));
            for (std::size_t b = 0; b < std::min(paper.bars.size(), keys.bars.size()); ++b) {
                CHECK(keys.bars[b].start_quarter == paper.bars[b].start_quarter);
                CHECK(keys.bars[b].beats == paper.bars[b].beats);
            }
        }
    }
}

TEST_CASE("the quartet has four clarinets that each read their own transposition", "[scores]")
{
    check_parts("quartet", "Low Water",
                {{"Clarinet in E♭", {"E-flat"}, 33},
                 {"Clarinet in B♭", {"B-flat"}, 77},
                 {"Clarinet in A", {"A"}, 51},
                 {"Bass Clarinet in B♭", {"bass"}, 50}});
    const Score read = score("quartet.musicxml");
    const std::vector<int> sounding_less_printed{3, -2, -3, -14};
    const std::vector<int> sharps{3, 2, -3, 2}; // of A minor: F sharp, B, C and B minor
    for (std::size_t p = 0; p < read.parts.size(); ++p) {
        CAPTURE(p);
        REQUIRE_FALSE(read.parts[p].keys.empty());
        CHECK(read.parts[p].keys[0].fifths == sharps[p]);
        for (const Note& note : read.parts[p].notes)
            CHECK(note.sounding.number - note.printed == sounding_less_printed[p]);
    }
}

TEST_CASE("the quartet repeats once, with a first and a second ending", "[scores]")
{
    const std::vector<std::string> order{"1", "2", "3", "4", "5",  "6",  "7",  "8",  "1",  "2",  "3",  "4",
                                         "5", "6", "7", "9", "10", "11", "12", "13", "14", "15", "16", "17"};
    for (const Line& part : score("quartet.musicxml").parts)
        CHECK(bar_numbers(part) == order);
}

TEST_CASE("the solo is one part that slows down and takes up its tempo again", "[scores]")
{
    check_parts("solo", "The Late Ferry", {{"Clarinet in B♭", {"B-flat"}, 100}});
    const Line line = score("solo.musicxml").parts.at(0);
    std::vector<double> tempi;
    for (const TempoPoint& point : line.tempo)
        tempi.push_back(point.quarters_per_minute);
    CHECK(tempi == std::vector<double>{108.0, 66.0, 108.0});
    CHECK(line.bars.size() == 24);
    CHECK(std::count_if(line.notes.begin(), line.notes.end(),
                        [](const Note& note) { return !note.ornaments.empty(); }) == 1);
}

TEST_CASE("the doubler takes the bass clarinet and comes back", "[scores]")
{
    check_parts("doubler", "Two Landings",
                {{"Clarinet in B♭ (doubling bass)", {"B-flat", "bass", "B-flat"}, 61}});
    const Line line = score("doubler.musicxml").parts.at(0);
    REQUIRE(line.instruments.size() == 3);
    for (const Note& note : line.notes) {
        const bool bass = note.start_quarter >= line.instruments[1].start_quarter &&
                          note.start_quarter < line.instruments[2].start_quarter;
        CAPTURE(note.source.bar, note.printed);
        CHECK(note.sounding.number - note.printed == (bass ? -14 : -2));
    }
}

TEST_CASE("every note of the scores lies where a section player reads it daily", "[scores]")
{
    for (const std::string& stem : all_scores)
        for (const Line& line : score(stem + ".musicxml").parts)
            for (const Note& note : line.notes) {
                const auto after = std::find_if(
                    line.instruments.begin(), line.instruments.end(),
                    [&](const InstrumentStretch& s) { return s.start_quarter > note.start_quarter; });
                REQUIRE(after != line.instruments.begin());
                const FamilyMember* member = member_named(std::prev(after)->name);
                REQUIRE(member != nullptr);
                CAPTURE(stem, line.part_name, note.source.bar);
                CHECK(note.printed >= member->lowest.number);
                CHECK(note.printed <= member->top_section.number);
            }
}
