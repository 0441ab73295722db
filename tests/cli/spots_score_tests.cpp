// SPDX-License-Identifier: MIT
// What `canebrake spots` tells of a page and of a whole score.
#include "tests/cli/spots_support.h"

using namespace canebrake;
using namespace canebrake::test;
using Catch::Contains;
using nlohmann::json;

TEST_CASE("printed bar numbers and the rehearsal mark before a spot are told", "[spots][text]")
{
    const Folder folder;
    const std::string line =
        folder.put("line.musicxml", score_text({{"Clarinet",
                                                 {easy_bar, rehearsal("C") + easy_bar, rocking_bar, easy_bar,
                                                  rehearsal("D") + wild_bar}}},
                                               90, 118));
    const json report = spots_json_of({line});
    std::vector<std::pair<std::string, std::string>> places;
    for (const json& spot : all_spots(report))
        if (spot["cause"] == "rocking")
            places.emplace_back(spot["from"]["bar"], spot["from"]["rehearsal_mark"]);
    CHECK(places == std::vector<std::pair<std::string, std::string>>{{"120", "C"}, {"122", "D"}});
    const std::string text = spots_says({line}).out;
    CHECK_THAT(text, Contains("bar 120 (after C), beat 1"));
    CHECK_THAT(text, Contains("bar 122 (after D), beat 1"));
}

TEST_CASE("the same thing again is one spot with its count and its bars", "[spots][text]")
{
    const Folder folder;
    const std::string line = folder.put(
        "line.musicxml",
        score_text({{"Clarinet", {rocking_bar, easy_bar, rocking_bar, easy_bar, easy_bar, rocking_bar}}}));
    const json report = spots_json_of({line});
    REQUIRE(count_cause(report, "rocking") == 1);
    const json spot = first_of(report, "rocking");
    CHECK(spot["times"] == 3);
    REQUIRE(spot["again"].size() == 2);
    std::set<std::string> bars{spot["from"]["bar"]}; // the one that sounded worst comes first
    for (const json& place : spot["again"])
        bars.insert(place["bar"]);
    CHECK(bars == std::set<std::string>{"1", "3", "6"});
    CHECK_THAT(spots_says({line}).out, Contains("3 times in all, in bars 1, 3 and 6."));
    CHECK(report["parts"][0]["easy_bars"] == 3);
}

TEST_CASE("a score: every clarinet is found, others are not, and the numbers run on", "[spots][score]")
{
    const Folder folder;
    const std::string score =
        folder.put("score.musicxml", score_text({{"Flute", {rocking_bar, easy_bar}, 0},
                                                 {"Clarinet 1 in B♭", {rocking_bar, easy_bar}},
                                                 {"Klarinette 2 in A", {easy_bar, wild_bar}, -3},
                                                 {"Bass Clarinet", {easy_bar, rocking_bar}, -14},
                                                 {"Viola", {wild_bar, wild_bar}, 0}}));
    const json report = spots_json_of({score});
    REQUIRE(report["parts"].size() == 3);
    CHECK(report["parts"][0]["part_name"] == "Clarinet 1 in B♭");
    CHECK(report["parts"][1]["instrument"] == "clarinet in A");
    CHECK(report["parts"][2]["instrument"] == "bass clarinet in B♭");
    int number = 0;
    for (const json& spot : all_spots(report))
        CHECK(spot["number"] == ++number);
    CHECK(number >= 3);
    const std::string text = spots_says({score}).out;
    CHECK_THAT(text, Catch::StartsWith("3 clarinet parts: "));
    // Who else plays there is told: the viola rocks too, but other notes.
    CHECK(first_of(report, "rocking").contains("in_the_score"));

    for (const char* choice : {"3", "P3", "Klarinette 2 in A"}) {
        const json one = spots_json_of({score, "--part", choice});
        REQUIRE(one["parts"].size() == 1);
        CHECK(one["parts"][0]["part_id"] == "P3");
        CHECK(all_spots(one).at(0)["number"] == 1);
    }
    CHECK(spots_says({score, "--part", "9"}).code == 4);
    CHECK(spots_json_of({score, "--part", "Viola"})["parts"].size() == 1); // asked for, so judged
}

TEST_CASE("a score without a clarinet asks for a part", "[spots][score]")
{
    const Folder folder;
    const std::string score = folder.put(
        "strings.musicxml", score_text({{"Violin", {rocking_bar}, 0}, {"Viola", {rocking_bar}, 0}}));
    const Said said = spots_says({score});
    CHECK(said.code == 4);
    CHECK(said.out.empty());
    CHECK_THAT(said.err, Contains("Violin"));
}

TEST_CASE("who else plays is told and weighs: alone, or doubled", "[spots][score]")
{
    const Folder folder;
    const auto weight = [&](const std::vector<std::string>& flute) {
        const json report = spots_json_of({folder.put(
            "score.musicxml", score_text({{"Clarinet", {rocking_bar, easy_bar}}, {"Flute", flute, 0}}))});
        return first_of(report, "rocking");
    };
    const json alone = weight({rest_bar, easy_bar});
    const json doubled = weight({notes("F4:2 C5:2 F4:2 C5:2 F4:2 C5:2 F4:2 C5:2"), easy_bar});
    CHECK(alone["in_the_score"] == "alone");
    CHECK(doubled["in_the_score"] == "doubled by Flute");
    CHECK(alone["exposure_weight"].get<double>() > doubled["exposure_weight"].get<double>());
}

TEST_CASE("a part that changes its clarinet with too little time is told so", "[spots][change]")
{
    // Common practice, no source: under 5 s risky, 8 to 10 s safe.
    const Folder folder;
    const auto report = [&](std::size_t rests, const std::string& before_entry = "") {
        std::vector<std::string> bars{full_bar};
        bars.insert(bars.end(), rests, rest_bar);
        bars.push_back("<attributes>\n<transpose>\n<chromatic>-3</chromatic>\n</transpose>\n</attributes>\n" +
                       before_entry + full_bar);
        return spots_json_of({folder.put("line.musicxml", score_text({{"Clarinet", bars}}, 120))});
    };
    CHECK(grade_of(report(0), "change") == "unplayable");             // no time at all
    CHECK(grade_of(report(2), "change") == "risky");                  // 4 s
    CHECK(grade_of(report(3), "change") == "awkward");                // 6 s
    CHECK(grade_of(report(8), "change") == "easy");                   // 16 s
    CHECK(grade_of(report(8, dynamic("pp")), "change") == "awkward"); // cold and soft
    const json spot = first_of(report(2), "change");
    CHECK_THAT(spot["sentence"].get<std::string>(),
               Contains("From the clarinet in B♭ to the clarinet in A in 4.0 s; 8 s are safe"));
}

TEST_CASE("parts of one chair: the change between them is told, and a clash", "[spots][change]")
{
    const Folder folder;
    const auto chairs = [&](const std::vector<std::string>& second) {
        return spots_json_of(
            {folder.put("score.musicxml", score_text({{"Clarinet 1 in B♭", {full_bar, rest_bar, rest_bar}},
                                                      {"Clarinet 1 in A", second, -3}}))})["chairs"];
    };
    const json change = chairs({rest_bar, rest_bar, full_bar}); // one bar of four quarters at 90: 2.7 s
    REQUIRE(change.size() == 1);
    CHECK_THAT(change[0].get<std::string>(), Contains("in 2.7 s: risky (8 s are safe)"));
    const json clash = chairs({full_bar, rest_bar, rest_bar});
    REQUIRE(clash.size() == 1);
    CHECK_THAT(clash[0].get<std::string>(), Contains("both sound in bar 1: two players are needed"));
}

TEST_CASE("a part that stands at the wrong pitch is told so", "[spots][basis]")
{
    const Folder folder;
    const auto bars = [](const char* low, const char* high) {
        return std::vector<std::string>(8, notes(std::string(low) + " " + high + " " + low + " " + high));
    };
    // Above C7 is no clarinet part: written down an octave too high by mistake.
    const json odd =
        spots_json_of({folder.put("odd.musicxml", score_text({{"Clarinet in B♭", bars("C7", "E7")}}))});
    CHECK(all_spots(odd).size() >= 1);
    CHECK_FALSE(odd["parts"][0]["playable"]);
    // A flute in C beside a clarinet that plays in unison with it only if no transposition is printed where
    // there should be one: every note a whole tone off.
    const std::vector<std::string> tune{notes("G4 B4 D5 G5"),  notes("F#5 D5 C5 A4"), notes("B4 D5 G5 B5"),
                                        notes("A5 F#5 D5 C5"), notes("B4 G4 A4 F#4"), notes("G4:16"),
                                        notes("G4 B4 D5 G5"),  notes("G5:16")};
    const auto report = [&](int chromatic) {
        return spots_json_of({folder.put(
            "score.musicxml", score_text({{"Clarinet in B♭", tune, chromatic, 1}, {"Oboe", tune, 0, 1}}))});
    };
    CHECK(count_cause(report(0), "basis") == 0);  // printed at concert pitch and says so: they agree
    CHECK(count_cause(report(-2), "basis") == 1); // the same page said to be transposed: they clash
}

TEST_CASE("seven flats and double accidentals are hard to read, at sight only", "[spots][reading]")
{
    const Folder folder;
    const std::string flats = folder.put(
        "flats.musicxml",
        score_text({{"Clarinet", std::vector<std::string>(4, notes("Cb5 Db5 Eb5 Fb5")), -2, -7}}, 60));
    const json report = spots_json_of({flats});
    REQUIRE(count_cause(report, "reading") >= 1);
    CHECK_THAT(first_of(report, "reading")["sentence"].get<std::string>(), Contains("flats"));
    CHECK(count_cause(spots_json_of({flats, "--reading", "rehearsed"}), "reading") == 0);

    const std::string doubles = folder.put(
        "doubles.musicxml",
        score_text({{"Clarinet", {notes("F##5 G##5 C##5 F##5"), notes("Bbb4 Ebb5 Abb4 Bbb4")}}}, 60));
    CHECK(count_cause(spots_json_of({doubles}), "reading") >= 1);
    const std::string plain =
        folder.put("plain.musicxml", score_text({{"Clarinet", {easy_bar, easy_bar}}}, 60));
    CHECK(count_cause(spots_json_of({plain}), "reading") == 0);
}

TEST_CASE("notes off the instrument name their compass, and another clarinet has them", "[spots][range]")
{
    const json report = spots_json_of({"--phrase", "mf 1/4 C5 Eb3 C5 D5"});
    REQUIRE(count_cause(report, "range") == 1);
    CHECK_THAT(first_of(report, "range")["sentence"].get<std::string>(),
               Contains("Eb3 is not on the clarinet in B♭ (E3 to "));
    CHECK(count_cause(spots_json_of({"--phrase", "mf 1/4 C5 Eb3 C5 D5", "--instrument", "bass"}), "range") ==
          0);
    const json bass = spots_json_of({"--phrase", "mf 1/4 C3 E3", "--instrument", "bass"});
    CHECK_THAT(first_of(bass, "range")["sentence"].get<std::string>(), Contains("(Eb3 to "));
    CHECK(count_cause(spots_json_of({"--phrase", "mf 1/4 C3 E3", "--instrument", "low-C bass"}), "range") ==
          0);
}
