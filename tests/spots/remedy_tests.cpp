// SPDX-License-Identifier: MIT
// Each phrase holds one rough place. Which limit it is over, and which way out a player would take first, is
// common practice, no source, unless a case says otherwise.
#include "cli/commands/remedy/remedy.h"
#include "engine/part/printed_part.h"
#include "engine/remedy/which_clarinet.h"

#include "cli/audio/audio_file.h"
#include "engine/files/phrase/read_phrase.h"
#include "engine/files/read.h"
#include "engine/part/choose_part.h"
#include "engine/part/line_request.h"
#include "engine/part/part_to_play.h"
#include "engine/part/pitch_basis.h"
#include "engine/spelling/key.h"
#include "tests/support/asked_line.h"
#include "tests/support/said.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <filesystem>
#include <sstream>

using namespace canebrake;
using namespace canebrake::test;

namespace
{

/// A typed phrase, judged, with the search for its ways out.
struct Tried {
    LineRequest request;
    TrillBooks books;
    TrialRoom room;
    JudgedPart judged;

    explicit Tried(const std::string& phrase, const std::string& instrument = "B-flat",
                   PitchBasis pitch = PitchBasis::written)
        : request(asked(phrase, instrument, pitch)), books(request.settings.kit),
          room(test::asked_line(request), request, books), judged(room.judged(room.line(), "", by_ear()))
    {
    }
    static LineRequest asked(const std::string& phrase, const std::string& instrument, PitchBasis pitch)
    {
        LineRequest request;
        request.phrase = phrase;
        request.instrument = instrument;
        request.pitch = pitch;
        return request;
    }
    static JudgeOptions by_ear()
    {
        JudgeOptions options;
        options.ideal = false;
        options.threads = 1;
        return options;
    }

    /// Ways out of the first spot with this cause.
    SpotRemedies of(Cause cause, std::size_t most = 12)
    {
        RemedySearch search(room, most);
        for (const auto& stretch : judged.stretches())
            for (const Spot& spot : stretch.spots)
                if (spot.cause == cause)
                    return search.find(judged, stretch, spot);
        FAIL("no spot with the cause " << word(cause));
        return {};
    }
    /// The worst of that cause after a remedy, in the whole phrase.
    Grade after(const SpotRemedies& spot, const Remedy& remedy)
    {
        Grade grade = Grade::easy;
        for (const Line& line : with_remedy(room, spot, remedy))
            for (const PlacedSpot& v : room.verdicts(line, room.everything(), remedy.idea.on, true))
                if (v.spot.cause == spot.found.spot.cause)
                    grade = worst(grade, v.spot.grade);
        return grade;
    }
};

const Remedy* of_kind(const SpotRemedies& spot, ChangeKind kind)
{
    for (const Remedy& remedy : spot.remedies)
        if (remedy.idea.kind == kind)
            return &remedy;
    return nullptr;
}

/// The first of a kind is there, says it helps, and does.
void check_helps(Tried& tried, const SpotRemedies& spot, ChangeKind kind)
{
    const Remedy* remedy = of_kind(spot, kind);
    REQUIRE(remedy != nullptr);
    CAPTURE(remedy->idea.what);
    CHECK(remedy->after.grade < remedy->before.grade);
    CHECK(tried.after(spot, *remedy) < spot.found.spot.grade);
}

std::filesystem::path in_a_folder(const std::string& name)
{
    const auto folder = std::filesystem::temp_directory_path() / "canebrake-remedy-tests";
    std::filesystem::create_directories(folder);
    return folder / name;
}

} // namespace

TEST_CASE("a quick slur over the break is tongued, and the spot is gone", "[remedy]")
{
    Tried tried("tempo 172 mf 1/16 E4_F4_G4_A4_B4_C5_D5_ 1/4 E5");
    const auto spot = tried.of(Cause::crossing);
    check_helps(tried, spot, ChangeKind::tongue);
    CHECK(spot.remedies.front().idea.kind == ChangeKind::tongue); // the least intrusive there is
    CHECK(of_kind(spot, ChangeKind::tongue)->idea.what == "tongue B4 instead of slurring into it");
}

TEST_CASE("a slur that hangs is tongued at its lower note or shared by two players", "[remedy]")
{
    Tried tried("tempo 120 mf 1/8 C6_C5 rest rest 1/4 rest rest");
    const auto spot = tried.of(Cause::hanging);
    check_helps(tried, spot, ChangeKind::tongue);
    check_helps(tried, spot, ChangeKind::hand_over);
}

TEST_CASE("a leap is split between two players, each with notes of their own", "[remedy]")
{
    Tried tried("tempo 120 mf 1/16 C4_E4_G4_C5_E5_G5_ 1/8 C6");
    const auto spot = tried.of(Cause::leap);
    const Remedy* shared = of_kind(spot, ChangeKind::hand_over);
    REQUIRE(shared != nullptr);
    const auto lines = with_remedy(tried.room, spot, *shared);
    REQUIRE(lines.size() == 2);
    CHECK(lines[0].notes.size() + lines[1].notes.size() == 7);
    CHECK(lines[0].notes.back().sounding.number == 65); // written G4
    CHECK_FALSE(lines[0].notes.back().slurred_to_next);
    check_helps(tried, spot, ChangeKind::hand_over);
}

TEST_CASE("a little finger that was told to slide takes the other hand", "[remedy]")
{
    Tried tried("tempo 80 mf 1/4 C5 1/16 by L B4_ by L C#5_ 1/8 D5 1/2 rest");
    const auto spot = tried.of(Cause::little_finger);
    check_helps(tried, spot, ChangeKind::fingering);
    CHECK(spot.remedies.front().idea.kind == ChangeKind::fingering);
}

TEST_CASE("rocking between B-flat and C is easy by the side keys", "[remedy]")
{
    Tried tried("tempo 82 mf 1/16 A4_C5_A4_C5_A4_C5_A4_C5_A4_C5_A4_C5_A4_C5_A4_C5");
    const auto spot = tried.of(Cause::rocking);
    REQUIRE_FALSE(spot.remedies.empty());
    CHECK(spot.remedies.front().idea.kind == ChangeKind::fingering);
    CHECK(spot.remedies.front().idea.what.find("side") != std::string::npos);
    check_helps(tried, spot, ChangeKind::fingering);
}

TEST_CASE("rocking over the break on one clarinet lies better on another", "[remedy]")
{
    Tried tried("tempo 82 mf 1/16 A4_D5_A4_D5_A4_D5_A4_D5_A4_D5_A4_D5_A4_D5_A4_D5");
    const auto spot = tried.of(Cause::rocking);
    const Remedy* other = of_kind(spot, ChangeKind::instrument);
    REQUIRE(other != nullptr);
    CHECK(other->idea.on != "B-flat");
    const auto& owned = tried.request.settings.kit.instruments;
    const bool has = std::find(owned.begin(), owned.end(), other->idea.on) != owned.end();
    CHECK((other->idea.price.find("may not own") == std::string::npos) == has);
    CHECK(other->passage_after < other->passage_before);
    check_helps(tried, spot, ChangeKind::instrument);
}

TEST_CASE("twenty seconds of slur at ff get a breath, or less noise", "[remedy]")
{
    Tried tried("tempo 60 ff 1/2 C4_D4_E4_F4_G4_F4_E4_D4_C4_D4_ 1/4 E4");
    const auto spot = tried.of(Cause::breath);
    check_helps(tried, spot, ChangeKind::breath);
    check_helps(tried, spot, ChangeKind::dynamic);
    CHECK(of_kind(spot, ChangeKind::tempo) == nullptr); // faster is nobody's remedy
    const auto lines = with_remedy(tried.room, spot, *of_kind(spot, ChangeKind::breath));
    CHECK(std::any_of(lines[0].notes.begin(), lines[0].notes.end(), [](const Note& note) {
        return (note.articulations & art_breath_after) && !note.slurred_to_next;
    }));
    // A second player joins on one note and goes on.
    const auto* shared = of_kind(spot, ChangeKind::hand_over);
    REQUIRE(shared != nullptr);
    const auto two = with_remedy(tried.room, spot, *shared);
    CHECK(two[0].notes.size() + two[1].notes.size() == tried.room.line().notes.size() + 1);
}

TEST_CASE("a C-sharp 6 that begins at pp is begun louder", "[remedy]")
{
    Tried tried("tempo 60 pp 1/4 rest C#6 1/2 rest");
    const auto spot = tried.of(Cause::entrance);
    check_helps(tried, spot, ChangeKind::dynamic);
    CHECK(spot.remedies.front().idea.kind == ChangeKind::dynamic);
}

TEST_CASE("a soft high entrance with a note before it is slurred into", "[remedy]")
{
    Tried tried("tempo 60 p 1/4 C6 1/2 E6 1/4 rest");
    const auto spot = tried.of(Cause::entrance);
    check_helps(tried, spot, ChangeKind::tongue);
    CHECK(spot.remedies.front().idea.what == "slur into E6");
}

TEST_CASE("a run too fast to tongue gets slurs, or a tempo that is safe and just above it is not", "[remedy]")
{
    Tried tried("tempo 150 p 1/16 C4 C4 C4 C4 D4 D4 D4 D4 E4 E4 E4 E4 F4 F4 F4 F4 E4 E4 E4 E4 D4 D4 D4 D4 "
                "1/4 C4");
    const auto spot = tried.of(Cause::tongue);
    check_helps(tried, spot, ChangeKind::tongue);
    const Remedy* slower = of_kind(spot, ChangeKind::tempo);
    REQUIRE(slower != nullptr);
    REQUIRE(slower->tempo);
    CAPTURE(*slower->tempo);
    CHECK(slower->after.grade == Grade::easy);
    CHECK(tried.after(spot, *slower) == Grade::easy);
    CHECK(*slower->tempo >= 112); // the tongue's own limit for four seconds, judgement of the trade
    const auto& line = tried.room.line();
    const Line just_above = at_share_of_tempo(line, 0.0, 6.0, (*slower->tempo + 1.0) / 150.0);
    const auto verdicts = tried.room.verdicts(just_above, tried.room.everything(), "", true);
    CHECK(std::any_of(verdicts.begin(), verdicts.end(),
                      [](const PlacedSpot& v) { return v.spot.cause == Cause::tongue; }));
}

TEST_CASE("a side fingering that is held goes back to the usual one", "[remedy]")
{
    Tried tried("tempo 60 mf 1/1 by side B4");
    const auto spot = tried.of(Cause::colour);
    check_helps(tried, spot, ChangeKind::fingering);
}

TEST_CASE("a slide over the break becomes a run or goes", "[remedy]")
{
    Tried tried("tempo 80 mf 1/2 slide E4 1/2 E5");
    const auto spot = tried.of(Cause::slide);
    CHECK(spot.found.spot.grade == Grade::unplayable);
    check_helps(tried, spot, ChangeKind::notes);
}

TEST_CASE("a tremolo that fingers cannot do is written out in measure", "[remedy]")
{
    Tried tried("tempo 80 mf 1/2 rock D5 B5 1/2 rest");
    const auto spot = tried.of(Cause::tremolo);
    const Remedy* measured = of_kind(spot, ChangeKind::notes);
    REQUIRE(measured != nullptr);
    const Line line = with_remedy(tried.room, spot, *measured).front();
    CHECK(line.notes.size() > 2);
    CHECK(line.notes[0].ornaments.empty());
    check_helps(tried, spot, ChangeKind::notes);
}

TEST_CASE("what lies off the instrument goes an octave, or to the bass", "[remedy]")
{
    Tried tried("tempo 80 mf 1/4 C3_D3_ 1/2 E3");
    const auto spot = tried.of(Cause::range);
    check_helps(tried, spot, ChangeKind::octave);
    const Remedy* other = of_kind(spot, ChangeKind::instrument);
    REQUIRE(other != nullptr);
    CHECK(other->idea.on == "bass");
    check_helps(tried, spot, ChangeKind::instrument);
}

TEST_CASE("a bass line that goes too high is taken by the B-flat clarinet", "[remedy]")
{
    Tried tried("tempo 80 mf 1/4 E5_G5_ 1/2 E6", "bass");
    const auto spot = tried.of(Cause::height);
    const Remedy* other = of_kind(spot, ChangeKind::instrument);
    REQUIRE(other != nullptr);
    CHECK((other->idea.on == "B-flat" || other->idea.on == "A"));
    check_helps(tried, spot, ChangeKind::instrument);
}

TEST_CASE("a change at one place leaves the rest of the line alone", "[remedy][law]")
{
    const Line line = read_phrase("tempo 100 p 1/4 C4_D4_E4_F4 grow G4 A4 f B4 C5").parts[0];
    const Line raised = louder(line, {1, 2}, 2.0);
    for (const double quarter : {0.0, 0.5, 3.5, 4.5, 5.5, 6.0, 7.0})
        CHECK(dynamic_at(raised.dynamics, quarter) == Approx(dynamic_at(line.dynamics, quarter)));
    for (const double quarter : {1.0, 1.7, 2.9})
        CHECK(dynamic_at(raised.dynamics, quarter) == Approx(dynamic_at(line.dynamics, quarter) + 2.0));

    const Line up = moved(line, {2, 3}, 12);
    for (std::size_t i = 0; i < line.notes.size(); ++i)
        CHECK(up.notes[i].sounding.number - line.notes[i].sounding.number == (i == 2 || i == 3 ? 12 : 0));
    CHECK(up.notes[2].printed_step == line.notes[2].printed_step);

    const Line pairs = slurred_in_pairs(line, {0, 5});
    for (std::size_t i = 0; i < 5; ++i)
        CHECK(pairs.notes[i].slurred_to_next == (i % 2 == 0));

    const TwoLines two = handed_over(line, {3, 7}, true);
    CHECK(two.first.notes.size() == 4);
    CHECK(two.second.notes.size() == 5);
    CHECK(two.second.notes.front().start_quarter == line.notes[3].start_quarter);
}

TEST_CASE("a passage in concert E major lies better on the clarinet in A than on the B-flat", "[remedy]")
{
    // Fact of the trade (common practice, no source): sharp keys for the A, flat keys for the B-flat.
    Tried tried("tempo 88 p 1/8 E4_F#4_G#4_A4_ B4_C#5_D#5_E5_ G#5_F#5_E5_B4_ G#4_B4_F#4_D#4_ 1/2 E4",
                "B-flat", PitchBasis::sounding);
    const auto all = clarinets_for(tried.room);
    const auto at = [&](const char* name) {
        return std::find_if(all.begin(), all.end(), [&](const auto& c) { return c.member->name == name; });
    };
    REQUIRE(at("A") != all.end());
    REQUIRE(at("B-flat") != all.end());
    CHECK(at("A") < at("B-flat"));
    CHECK(at("A")->fifths == 1);                // G major
    CHECK(std::abs(at("B-flat")->fifths) == 6); // F-sharp or G-flat major
}

TEST_CASE("passages in concert A-flat and E-flat major lie better on the B-flat than on the A", "[remedy]")
{
    for (const char* phrase :
         {"tempo 88 p 1/8 Ab4_Bb4_C5_Db5_ Eb5_F5_G5_Ab5_ C6_Ab5_Eb5_C5_ Bb4_Eb5_Db5_G4_ 1/2 Ab4",
          "tempo 88 p 1/8 Eb4_F4_G4_Ab4_ Bb4_C5_D5_Eb5_ G5_Eb5_Bb4_G4_ F4_Bb4_Ab4_D4_ 1/2 Eb4"}) {
        CAPTURE(phrase);
        Tried tried(phrase, "B-flat", PitchBasis::sounding);
        const auto all = clarinets_for(tried.room);
        const auto place = [&](const char* name) {
            return std::find_if(all.begin(), all.end(),
                                [&](const auto& c) { return c.member->name == name; }) -
                   all.begin();
        };
        CHECK(place("B-flat") < place("A"));
    }
}

TEST_CASE("canebrake remedy writes what it tells, as sound and as a part that reads back", "[remedy][words]")
{
    const std::string phrase = "tempo 172 mf 1/16 E4_F4_G4_A4_B4_C5_D5_ 1/4 E5";
    const auto told = canebrake_says({"remedy", "--phrase", phrase, "--json"});
    REQUIRE(told.code == 0);
    const auto json = nlohmann::json::parse(told.out);
    CHECK(json["schema"] == "canebrake-remedy");
    CHECK(json["version"] == 1);
    REQUIRE(json["spots"].size() == 1);
    CHECK(json["spots"][0]["cause"] == "crossing");
    const auto& first = json["spots"][0]["remedies"][0];
    CHECK(first["number"] == "1.1");
    CHECK(first["kind"] == "tongue");
    CHECK(first["grade_before"] == "awkward");
    CHECK(first["grade_after"] == "easy");

    const auto wav = in_a_folder("taken.wav"), page = in_a_folder("taken.musicxml");
    std::filesystem::remove(wav);
    std::filesystem::remove(page);
    const auto sound = canebrake_says({"remedy", "--phrase", phrase, "--take", "1.1", "-o", wav.string()});
    CHECK(sound.code == 0);
    CHECK(read_audio(wav).samples.size() > 20000);
    CHECK(sound.out.find("before: 1 awkward, 0 risky, 0 unplayable\nafter:  0 awkward") != std::string::npos);

    CHECK(canebrake_says({"remedy", "--phrase", phrase, "--take", "1.1", "-o", page.string()}).code == 0);
    const Line back = choose_part(read_score(page), "");
    REQUIRE(back.notes.size() == 8);
    for (std::size_t i = 0; i + 1 < 8; ++i)
        CHECK(back.notes[i].slurred_to_next == (i != 3)); // B4 is tongued now
    CHECK(back.notes[0].sounding.number == 62);           // written E4 on the B-flat
}

TEST_CASE("a part written for another clarinet sounds the same and stands in that clarinet's key",
          "[remedy][words]")
{
    const auto page = in_a_folder("in-a.musicxml");
    std::filesystem::remove(page);
    const auto told = canebrake_says({"remedy", "--pitch", "sounding", "--phrase",
                                      "tempo 88 mf 1/8 E4_F#4_G#4_A4_B4_C#5_D#5_E5_ G#5_E5_B4_G#4_ 1/2 E4",
                                      "--for-instrument", "A", "-o", page.string()});
    REQUIRE(told.code == 0);
    CHECK(told.out.find("clarinet in A, 1 sharp") != std::string::npos);
    const Line back = choose_part(read_score(page), "");
    CHECK(back.notes[0].sounding.number == 64);
    CHECK(back.notes[0].printed == 67); // G4
    REQUIRE_FALSE(back.keys.empty());
    CHECK(back.keys[0].fifths == 1);
}

TEST_CASE("canebrake remedy says when there is nothing to mend, and refuses what makes no sense",
          "[remedy][words]")
{
    const std::string easy = "tempo 80 mf 1/4 C5 D5 E5 F5";
    const auto nothing = canebrake_says({"remedy", "--phrase", easy});
    CHECK(nothing.code == 0);
    CHECK(nothing.out.find("no rough places") != std::string::npos);

    CHECK(canebrake_says({"remedy"}).code == 2);
    CHECK(canebrake_says({"remedy", "--phrase", easy, "--spot", "1"}).code == 2);
    CHECK(canebrake_says({"remedy", "--phrase", easy, "--take", "1"}).code == 2);
    CHECK(canebrake_says({"remedy", "--phrase", easy, "-o", "x.wav"}).code == 2);
    CHECK(canebrake_says({"remedy", "--phrase", easy, "--most", "0"}).code == 2);
    CHECK(
        canebrake_says({"remedy", "--phrase", easy, "--for-instrument", "kazoo", "-o", "x.musicxml"}).code ==
        2);
    const auto clash =
        canebrake_says({"remedy", "--phrase", easy, "--which-clarinet", "--take", "1.1", "-o", "x.wav"});
    CHECK(clash.code == 2);
    CHECK(std::count(clash.err.begin(), clash.err.end(), '\n') == 1);
}

TEST_CASE("what canebrake remedy tells fits eighty columns", "[remedy][words]")
{
    for (const char* phrase : {"tempo 168 mf 1/16 G4 G4 G4 G4 A4 A4 A4 A4 B4 B4 B4 B4 C5 C5 C5 C5 1/4 G4",
                               "tempo 60 f 1/1 D6 1/2 F6_A6 D3", "tempo 100 mf 1/16 Ab5_C5_Eb5_C5_ 1/4 Ab5"})
        for (const bool which : {false, true}) {
            std::vector<std::string> args{"remedy", "--phrase", phrase};
            if (which)
                args.push_back("--which-clarinet");
            std::istringstream lines(canebrake_says(args).out);
            for (std::string line; std::getline(lines, line);) {
                const auto columns =
                    std::count_if(line.begin(), line.end(), [](char c) { return (c & 0xC0) != 0x80; });
                CAPTURE(line);
                CHECK(columns <= 80);
            }
        }
}
