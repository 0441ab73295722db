// SPDX-License-Identifier: MIT
// The file that came in goes out: a remedy changes the notes it is about and leaves every other element
// alone.
#include "engine/files/editing/edit_musicxml.h"
#include "engine/files/musicxml/read_musicxml.h"
#include "engine/files/read.h"
#include "engine/files/writing/musicxml_pack.h"
#include "engine/part/choose_part.h"
#include "engine/spots/change.h"
#include "engine/workbench/bench.h"
#include "engine/workbench/taking.h"
#include "tests/workbench/census.h"

#include <catch2/catch.hpp>

#include <map>
#include <set>
#include <sstream>
#include <string>
#include <vector>

using namespace canebrake;
using namespace canebrake::test;

namespace
{

std::string solo()
{
    return load_score(std::string(CANEBRAKE_SOURCE_DIR) + "/assets/scores/solo.musicxml");
}

/// The part of a score as the changes take it: its notes numbered.
Line numbered(const std::string& bytes)
{
    Line line = choose_part(read_musicxml(bytes, "score"), "");
    for (std::size_t i = 0; i < line.notes.size(); ++i)
        line.notes[i].source.number = i;
    return line;
}

/// Lines of the text that are not the same in both.
std::size_t lines_changed(const std::string& a, const std::string& b)
{
    std::multiset<std::string> lines;
    std::size_t changed = 0;
    std::istringstream one(a), other(b);
    for (std::string line; std::getline(one, line);)
        lines.insert(line);
    for (std::string line; std::getline(other, line);)
        if (const auto at = lines.find(line); at != lines.end())
            lines.erase(at);
        else
            ++changed;
    return changed + lines.size();
}

std::string edited(const std::string& bytes, const Line& before, const Line& after)
{
    std::vector<std::string> remarks;
    const auto result = edit_musicxml(bytes, "score", before, after, remarks);
    for (const std::string& remark : remarks)
        UNSCOPED_INFO(remark);
    REQUIRE(result);
    return *result;
}

const std::set<std::string> of_slurs{"slur", "notations"};

} // namespace

TEST_CASE("nothing changed is the file as it came in", "[edit]")
{
    const std::string bytes = solo();
    const Line line = numbered(bytes);
    CHECK(edited(bytes, line, line) == bytes);
}

TEST_CASE("a slur broken or made changes slurs alone", "[edit]")
{
    const std::string bytes = solo();
    const Line line = numbered(bytes);
    int tried = 0;
    for (std::size_t i = 0; i + 1 < line.notes.size(); ++i) {
        const bool slurred = line.notes[i].slurred_to_next;
        const Line after = slurred ? tongued_after(line, i) : slurred_into(line, i + 1);
        if (after.notes[i].slurred_to_next == slurred)
            continue; // a rest lies between
        INFO("after note " << i);
        const std::string result = edited(bytes, line, after);
        for (const std::string& name : differing(bytes, result))
            CHECK((of_slurs.contains(name) || name == "articulations" || name == "staccato"));
        CHECK(lines_changed(bytes, result) <= 8);
        // And back: the same notes are joined as before.
        const Line again = numbered(result);
        const Line restored =
            numbered(edited(result, again, slurred ? slurred_into(again, i + 1) : tongued_after(again, i)));
        for (std::size_t n = 0; n < line.notes.size(); ++n)
            CHECK(restored.notes[n].slurred_to_next == line.notes[n].slurred_to_next);
        ++tried;
    }
    CHECK(tried > 60);
}

TEST_CASE("notes moved keep their place, words and beams", "[edit]")
{
    const std::string bytes = solo();
    const Line line = numbered(bytes);
    for (const int semitones : {12, -12, 1, -3}) {
        const NoteRange range{20, 27};
        const Line after = moved(line, range, semitones);
        const std::string result = edited(bytes, line, after);
        const Line again = numbered(result);
        REQUIRE(again.notes.size() == line.notes.size());
        for (std::size_t i = 0; i < line.notes.size(); ++i)
            CHECK(again.notes[i].sounding.number ==
                  line.notes[i].sounding.number + (i >= range.from && i <= range.to ? semitones : 0));
        for (const std::string& name : differing(bytes, result))
            CHECK((name == "alter" || name == "accidental" || name == "fingering" || name == "technical" ||
                   name == "notations"));
    }
}

TEST_CASE("a dynamic for some notes stands at the first and ends after the last", "[edit]")
{
    const std::string bytes = solo();
    const Line line = numbered(bytes);
    const NoteRange range{10, 13};
    const Line after = louder(line, range, -2.0);
    const Line again = numbered(edited(bytes, line, after));
    for (std::size_t i = 0; i < line.notes.size(); ++i) {
        INFO("note " << i);
        const double at = line.notes[i].start_quarter + 1e-3;
        CHECK(dynamic_at(again.dynamics, at) == Approx(dynamic_at(after.dynamics, at)).margin(0.51));
    }
}

TEST_CASE("a slower passage scales the tempo marks that stand there", "[edit]")
{
    const std::string bytes = solo();
    const Line line = numbered(bytes);
    const Line after =
        at_share_of_tempo(line, line.notes[30].start_quarter, line.notes[31].start_quarter, 0.8);
    const Line again = numbered(edited(bytes, line, after));
    const TempoMap wanted(after.tempo), got(again.tempo);
    for (const Note& note : line.notes)
        CHECK(got.tempo_at(note.start_quarter) == Approx(wanted.tempo_at(note.start_quarter)).epsilon(0.01));
}

TEST_CASE("notes of a second player become rests of the same length", "[edit]")
{
    const std::string bytes = solo();
    const Line line = numbered(bytes);
    const TwoLines both = handed_over(line, {24, 29}, false);
    const std::string result = edited(bytes, line, both.first);
    const Line again = numbered(result);
    CHECK(again.notes.size() == line.notes.size() - 6);
    CHECK(again.end_quarter == line.end_quarter);
    CHECK(census(result)["note"] == census(bytes)["note"]);
    CHECK(census(result)["rest"] == census(bytes)["rest"] + 6);
}

TEST_CASE("a compressed file is changed too", "[edit]")
{
    const std::string packed = musicxml::pack(solo());
    const Line line = numbered(packed);
    const std::string result = edited(packed, line, with_fingering(line, 5, "side"));
    CHECK(numbered(result).notes[5].fingering == "side");
}

TEST_CASE("what cannot be done in the file is said and not tried", "[edit]")
{
    const std::string bytes = solo();
    const Line line = numbered(bytes);
    Line more = line;
    more.notes.insert(more.notes.begin() + 3, line.notes[2]);
    std::vector<std::string> remarks;
    CHECK(!edit_musicxml(bytes, "score", line, more, remarks));
    REQUIRE(remarks.size() == 1);
    CHECK(remarks[0].find("set anew") != std::string::npos);
}

TEST_CASE("remedies taken in a score leave titles, directions and other parts alone", "[edit][taking]")
{
    const std::string bytes =
        load_score(std::string(CANEBRAKE_SOURCE_DIR) + "/assets/scores/quartet.musicxml");
    const Bench bench = Bench::of_file(bytes, "quartet.musicxml");
    LineRequest request;
    request.part = "2";
    const Remedies remedies(bench.score(), request);
    int taken_in_place = 0;
    for (const ToldRemedies& one : remedies.find(0, 3).all)
        for (std::size_t i = 0; i < one.found.remedies.size(); ++i) {
            if (!one.found.remedies[i].idea.on.empty())
                continue;
            const TakenRemedies taken(remedies, {{one.told.number, int(i) + 1}}, request);
            std::vector<std::string> remarks;
            const std::string page = taken.pages(bench, remarks).at(0);
            INFO(taken.what().at(0));
            CHECK(remarks.empty());
            const auto before = census(bytes), after = census(page);
            for (const char* name : {"part", "measure", "note", "words", "work-title", "creator", "rehearsal",
                                     "lyric", "wedge", "clef", "key", "time", "barline"})
                CHECK((before.contains(name) ? before.at(name) : 0) ==
                      (after.contains(name) ? after.at(name) : 0));
            CHECK(lines_changed(bytes, page) < 120);
            ++taken_in_place;
        }
    CHECK(taken_in_place >= 2);
}

TEST_CASE("a part for another clarinet is the file's own part, transposed", "[edit]")
{
    const std::string bytes =
        load_score(std::string(CANEBRAKE_SOURCE_DIR) + "/assets/scores/quartet.musicxml");
    const Bench bench = Bench::of_file(bytes, "quartet.musicxml");
    const Line before = choose_part(bench.score(), "2");
    for (const char* name : {"A", "C", "bass"}) {
        INFO(name);
        LineRequest request;
        request.part = "2";
        const FamilyMember& member = *member_named(name);
        const PartForInstrument part = part_for_instrument(bench, request, member);
        CHECK(part.remarks.empty());
        const Score again = read_musicxml(part.musicxml, "part");
        REQUIRE(again.parts.size() == 1);
        REQUIRE(again.parts[0].notes.size() == before.notes.size());
        for (std::size_t i = 0; i < before.notes.size(); ++i) {
            const Note &was = before.notes[i], &is = again.parts[0].notes[i];
            CHECK(is.sounding.number == was.sounding.number);
            CHECK(is.printed == was.sounding.number - member.transposition);
            CHECK(is.slurred_to_next == was.slurred_to_next);
        }
        const TempoMap tempo(before.tempo), now(again.parts[0].tempo);
        CHECK(now.seconds_at(before.end_quarter) == Approx(tempo.seconds_at(before.end_quarter)));
        CHECK(again.title == bench.score().title);
        CHECK(part.musicxml.find("<part-name>" + std::string("Clarinet in B")) == std::string::npos);
    }
}
