// SPDX-License-Identifier: MIT
// The list of spots a writer has accepted, kept beside the line.
#include "tests/cli/spots_support.h"

using namespace canebrake;
using namespace canebrake::test;
using Catch::Contains;
using nlohmann::json;

namespace
{

/// A line in a folder, with four different spots, and what is told of it.
struct Waiving {
    Folder folder;
    std::string line;
    explicit Waiving(const std::vector<std::string>& bars = four_spots) { write(bars); }
    void write(const std::vector<std::string>& bars)
    {
        line = folder.put("line.musicxml", score_text({{"Clarinet", bars}}));
    }
    json told(std::vector<std::string> words = {}) const
    {
        words.insert(words.begin(), line);
        return spots_json_of(words);
    }
    std::string list() const { return bytes_of(line + ".waived.json"); }
    static const std::vector<std::string> four_spots;
};

const std::vector<std::string> Waiving::four_spots{rocking_bar, easy_bar, wild_bar, low_bar,
                                                   notes("C5 C7:1 -:3 E5 Bb2")};

std::size_t waived_in(const json& report)
{
    return report["parts"][0]["waived"];
}

std::vector<std::string> sentences(const json& report)
{
    std::vector<std::string> all;
    for (const json& spot : all_spots(report))
        all.push_back(spot["sentence"]);
    return all;
}

std::size_t fresh_in(const json& report)
{
    const auto spots = all_spots(report);
    return std::size_t(
        std::count_if(spots.begin(), spots.end(), [](const json& s) { return s["new"] == true; }));
}

} // namespace

TEST_CASE("a waived spot is kept in a list beside the line and not told again", "[spots][waive]")
{
    const Waiving test;
    const auto before = sentences(test.told());
    REQUIRE(before.size() >= 4);
    CHECK(fresh_in(test.told()) == 0); // without a list nothing is new
    const json first = test.told({"--waive", "1"});
    CHECK(waived_in(first) == 1);
    CHECK(first["parts"][0]["waived"] == 1);

    const json second = test.told();
    CHECK(waived_in(second) == 1);
    CHECK(sentences(second) == std::vector<std::string>(before.begin() + 1, before.end()));
    CHECK(fresh_in(second) == 0);
    CHECK_THAT(spots_says({test.line}).out, Contains("1 spot waived and not told."));

    const json list = json::parse(test.list());
    CHECK(list["schema"] == "canebrake-waived");
    CHECK(list["version"] == 2);
    CHECK(list["waived"].size() == 1);
    CHECK(list["seen"].size() >= before.size());
}

TEST_CASE("the numbers of the last run are those that --waive takes", "[spots][waive]")
{
    // After a spot is waived, what is told is numbered anew from what is left, and the next --waive means
    // that.
    const Waiving test;
    const auto before = sentences(test.told());
    REQUIRE(before.size() >= 4);
    test.told({"--waive", "1"});
    const json told = test.told();
    const json second = all_spots(told).at(1);
    test.told({"--waive", std::to_string(second["number"].get<int>())});
    const auto left = sentences(test.told());
    CHECK(std::find(left.begin(), left.end(), second["sentence"].get<std::string>()) == left.end());
    CHECK(left.size() == before.size() - 2);
}

TEST_CASE("several numbers, ranges, and all of them", "[spots][waive]")
{
    const Waiving test;
    const auto before = sentences(test.told());
    REQUIRE(before.size() >= 4);
    test.told({"--waive", "1,3-4"});
    const auto after = sentences(test.told());
    REQUIRE(after.size() == before.size() - 3);
    CHECK(after[0] == before[1]);

    test.told({"--waive", "all"});
    const json none = test.told();
    CHECK(all_spots(none).empty());
    CHECK(waived_in(none) == before.size());
    CHECK(spots_says({test.line, "--fail-on", "awkward"}).code == 0);
    CHECK_THAT(spots_says({test.line}).out, Contains("waived and not told"));
}

TEST_CASE("a second run says what is new since the list was written", "[spots][waive]")
{
    Waiving test({easy_bar, rocking_bar, easy_bar, easy_bar});
    test.told({"--waive", "all"});
    CHECK(all_spots(test.told()).empty());

    test.write({easy_bar, rocking_bar, easy_bar, wild_bar}); // the writer goes on
    const json report = test.told();
    REQUIRE(count_cause(report, "rocking") == 1);
    CHECK(first_of(report, "rocking")["from"]["bar"] == "4");
    CHECK(fresh_in(report) == all_spots(report).size());
    const std::string text = spots_says({test.line}).out;
    CHECK_THAT(text, Contains("* risky"));
    CHECK_THAT(text, Contains("* not there when the list of waived spots was last written."));

    const std::string list = test.list();
    CHECK(spots_says({test.line, "--waive", "99"}).code == 2);
    CHECK(test.list() == list);
}

TEST_CASE("waiving one place of a repeated spot does not waive another that comes later", "[spots][waive]")
{
    Waiving test({rocking_bar, easy_bar, rocking_bar, easy_bar});
    test.told({"--waive", "all"});
    CHECK(all_spots(test.told()).empty());
    test.write({rocking_bar, easy_bar, rocking_bar, rocking_bar});
    const json report = test.told();
    // Bars 3 and 4 together are one longer passage that begins where it did; or bar 4 is told alone as new.
    for (const json& spot : all_spots(report))
        CHECK(spot["new"] == true);
}

TEST_CASE("bars put in or taken out leave a waived spot waived", "[spots][waive]")
{
    Waiving test({easy_bar, rocking_bar, easy_bar});
    test.told({"--waive", "all"});
    for (const std::vector<std::string>& bars :
         {std::vector<std::string>{easy_bar, rocking_bar, easy_bar, easy_bar},
          {easy_bar, easy_bar, rocking_bar, easy_bar},
          {easy_bar, rocking_bar},
          {rocking_bar, easy_bar}}) {
        test.write(bars);
        CHECK(count_cause(test.told(), "rocking") == 0);
    }
}

TEST_CASE("a reason is kept with a waived spot, also when the list is written again", "[spots][waive]")
{
    Waiving test;
    test.told({"--waive", "1", "--because", "the \"wild\" effect is wanted"});
    const auto reason = [&] { return json::parse(test.list())["waived"][0]["reason"]; };
    CHECK(reason() == "the \"wild\" effect is wanted");
    test.told({"--waive", "2"});
    CHECK(json::parse(test.list())["waived"].size() == 2);
    CHECK(reason() == "the \"wild\" effect is wanted");
    CHECK(spots_says({test.line, "--because", "no number"}).code == 2);
}

TEST_CASE("a list of version 1 is read and goes on as version 2", "[spots][waive]")
{
    Waiving test({easy_bar, rocking_bar, easy_bar});
    const json spot = first_of(test.told(), "rocking");
    std::string names;
    for (const json& note : spot["notes"])
        names += " " + note["written"].get<std::string>();
    const std::string key =
        "P1: rocking | bar 2 beat " + std::to_string(spot["from"]["beat"].get<int>()) + " |" + names;
    test.folder.put(
        "line.musicxml.waived.json",
        json{{"schema", "canebrake-waived"}, {"version", 1}, {"waived", {key}}, {"seen", {key}}}.dump());
    const json report = test.told();
    CHECK(count_cause(report, "rocking") == 0);
    CHECK(waived_in(report) == 1);
}

TEST_CASE("one list serves all parts of a score, and does not mix them up", "[spots][waive]")
{
    const Folder folder;
    const std::string score = folder.put(
        "score.musicxml",
        score_text({{"Clarinet 1", {rocking_bar, easy_bar}}, {"Clarinet 2", {rocking_bar, easy_bar}}}));
    const json before = spots_json_of({score});
    REQUIRE(count_cause(before, "rocking") == 2);
    const int second = before["parts"][1]["spots"][0]["number"];
    spots_json_of({score, "--waive", std::to_string(second)});
    const json after = spots_json_of({score});
    CHECK(after["parts"][0]["waived"] == 0);
    CHECK(after["parts"][1]["waived"] == 1);
    CHECK(after["parts"][0]["spots"].size() == before["parts"][0]["spots"].size());
}

TEST_CASE("what is waived is not written into a copy", "[spots][waive][annotate]")
{
    const Waiving test;
    test.told({"--annotate", test.folder / "before.musicxml"});
    test.told({"--waive", "all", "--annotate", test.folder / "after.musicxml"});
    CHECK(count_of(bytes_of(test.folder / "before.musicxml"), "<words") >= 4);
    CHECK(bytes_of(test.folder / "after.musicxml") == bytes_of(test.line));
}
