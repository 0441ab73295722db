// SPDX-License-Identifier: MIT
// `canebrake compare`: its words, texts, tables and files.
#include "tests/support/folder.h"
#include "tests/support/said.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <set>

using namespace canebrake;
using namespace canebrake::test;
using Json = nlohmann::json;

namespace
{

Said compare_says(std::vector<std::string> words)
{
    words.insert(words.begin(), "compare");
    return canebrake_says(words);
}

Json compare_json_of(std::vector<std::string> words)
{
    words.push_back("--json");
    const Said said = compare_says(words);
    CAPTURE(words, said.err);
    REQUIRE(said.code == 0);
    return Json::parse(said.out);
}

void refused(std::vector<std::string> words, int code, const std::string& content)
{
    words.insert(words.begin(), "compare");
    check_refused(words, code, content);
}

const std::string tune = "tempo 96 mf 1/8 E4_G4_B4_C5 grow 1/4 D5 stacc A4 f B4 rest";

/// Fields of a CSV line; none of ours has a comma inside quotes but the words.
std::vector<std::string> fields_of(const std::string& line)
{
    std::vector<std::string> fields{""};
    bool quoted = false;
    for (const char c : line) {
        if (c == '"')
            quoted = !quoted;
        else if (c == ',' && !quoted)
            fields.emplace_back();
        else if (c != '\r')
            fields.back() += c;
    }
    return fields;
}

void check_readable(const std::string& text)
{
    CHECK(widest_line(text) <= 80);
    for (const std::string& line : lines_of(text)) {
        CAPTURE(line);
        CHECK((line.empty() || line.back() != ' '));
        CHECK(line.find("nan") == std::string::npos);
        CHECK(line.find("inf") == std::string::npos);
    }
}

} // namespace

TEST_CASE("compare's texts fit into 80 columns", "[compare]")
{
    const std::vector<std::vector<std::string>> calls{
        {"--notes", "G4-C5", "--instrument", "B-flat,bass"},
        {"--notes", "G4-C5", "--dynamics", "ppp,pp,p,mp,mf,f,ff,fff", "--player", "learner,ideal"},
        {"--phrase", tune, "--instrument", "B-flat,A,C,E-flat"},
        {"--phrase", tune}};
    for (const auto& words : calls) {
        const Said said = compare_says(words);
        CAPTURE(words);
        REQUIRE(said.code == 0);
        check_readable(said.out);
    }
}

TEST_CASE("tones are told by register, with the words for what stands out", "[compare]")
{
    const Said said = compare_says({"--notes", "E4-E5"});
    REQUIRE(said.code == 0);
    for (const char* part : {"chalumeau", "throat", "clarion"})
        CHECK_THAT(said.out, Catch::Contains(part));
    CHECK_THAT(said.out, !Catch::Contains("altissimo"));
    CHECK_THAT(first_line(said.out), Catch::Equals("13 held notes at pp, mf, ff"));
    CHECK_THAT(said.out, Catch::Contains("pulls sharp")); // soft throat notes, before the lip
}

// Common practice, no source: written B-flat 4 is the palest note of the instrument.
TEST_CASE("the throat B-flat is softer and duller than the notes on its two sides", "[compare]")
{
    const Json json = compare_json_of({"--notes", "A4,Bb4,C5", "--dynamics", "mf"});
    const auto figure = [&](std::size_t note, const char* name) {
        return json["sides"][0]["notes"][note]["tones"][0]["measured"][name].get<double>();
    };
    CHECK(figure(1, "level_db") < figure(0, "level_db") - 2.0);
    CHECK(figure(1, "level_db") < figure(2, "level_db") - 2.0);
    CHECK(figure(1, "centroid_hz") < 0.9 * figure(0, "centroid_hz"));
}

TEST_CASE("compare's JSON holds every note at every dynamic on every side", "[compare]")
{
    const Json json = compare_json_of({"--notes", "E4-B4,C6", "--instrument", "B-flat,A"});
    CHECK(json["schema"] == "canebrake-compare");
    CHECK(json["version"] == 1);
    CHECK(json["kind"] == "tones");
    REQUIRE(json["sides"].size() == 2);
    CHECK(json["sides"][1]["instrument"] == "A");
    CHECK(json["sides"][1]["transposition_semitones"] == -3);
    for (const Json& side : json["sides"]) {
        REQUIRE(side["notes"].size() == 9);
        for (const Json& note : side["notes"]) {
            REQUIRE(note["tones"].size() == 3);
            CHECK(note["written"]["number"].get<int>() + side["transposition_semitones"].get<int>() ==
                  note["sounding"]["number"].get<int>());
            for (const Json& tone : note["tones"]) {
                CHECK(tone["measured"]["harmonics_db"].size() == 16);
                CHECK(tone["measured"]["even_over_neighbours_db"].size() == 3);
                CHECK(tone["measured"]["in_register"] == true);
                CHECK(std::abs(tone["measured"]["cents"].get<double>()) < 30.0);
                CHECK(!tone.contains("clip")); // of a page only
            }
        }
        CHECK(side["averages"].size() == 9); // three registers at three dynamics
    }
    CHECK(json["differences"].size() == 9);
    CHECK(json["differences"][0]["side"] == 1);
}

TEST_CASE("notes can be compared at the same sounding pitch", "[compare]")
{
    const Json json =
        compare_json_of({"--notes", "C5,D5", "--pitch", "sounding", "--instrument", "B-flat,A,E-flat"});
    CHECK(json["pitch"] == "sounding");
    std::set<int> written;
    for (const Json& side : json["sides"]) {
        CHECK(side["notes"][0]["sounding"]["number"] == 72);
        written.insert(side["notes"][0]["written"]["number"].get<int>());
        CHECK(side["notes"][0]["tones"][1]["measured"]["settled_hz"].get<double>() ==
              Approx(523.25).epsilon(0.01)); // C5 of ISO 16's A4, equal temperament
    }
    CHECK(written == std::set<int>{69, 74, 75});
}

TEST_CASE("the figures are those that render's events have", "[compare]")
{
    const Folder folder;
    const Json json = compare_json_of({"--notes", "G4"});
    const Said said = canebrake_says(
        {"render", "--phrase", "tempo 60 ff 1/4 G4", "-o", folder / "g.wav", "--events", folder / "g.json"});
    REQUIRE(said.code == 0);
    const Json measured = Json::parse(bytes_of(folder / "g.json"))["notes"][0]["measured"];
    const Json ours = json["sides"][0]["notes"][0]["tones"][2]["measured"];
    CHECK(ours["level_db"].get<double>() == Approx(measured["level_db"].get<double>()).margin(0.5));
    CHECK(ours["cents"].get<double>() == Approx(measured["cents"].get<double>()).margin(0.5));
    CHECK(ours["centroid_hz"].get<double>() == Approx(measured["centroid_hz"].get<double>()).epsilon(0.02));
}

TEST_CASE("the table has a row for each tone and a figure in each column", "[compare]")
{
    const Folder folder;
    const Said said = compare_says(
        {"--notes", "G4-B4", "--dynamics", "p,f", "--player", "studio,learner", "-o", folder / "t.csv"});
    REQUIRE(said.code == 0);
    CHECK(said.out == (folder / "t.csv") + "\n");
    const auto rows = lines_of(bytes_of(folder / "t.csv"));
    REQUIRE(rows.size() == 1 + 5 * 2 * 2);
    const auto names = fields_of(rows[0]);
    CHECK(names.size() == 8 + 13 + 16 + 1);
    for (const std::string& row : rows) {
        const auto fields = fields_of(row);
        CHECK(fields.size() == names.size());
        CHECK(row.back() == '\r'); // RFC 4180
    }
    const auto level = std::size_t(std::find(names.begin(), names.end(), "level_db") - names.begin());
    CHECK(std::stod(fields_of(rows[1])[level]) < std::stod(fields_of(rows[2])[level])); // p under f
}

TEST_CASE("one call sets the same line on three clarinets side by side", "[compare]")
{
    const Json json = compare_json_of({"--phrase", tune, "--instrument", "B-flat,A,C"});
    CHECK(json["kind"] == "lines");
    REQUIRE(json["sides"].size() == 3);
    REQUIRE(json["rows"].size() == 7);
    for (const Json& row : json["rows"]) {
        CHECK(row["bar"].is_string());
        std::set<double> sounding;
        for (std::size_t s = 0; s < 3; ++s) {
            const Json& note = json["sides"][s]["notes"][row["notes"][s].get<std::size_t>()];
            sounding.insert(note["sounding"]["number"].get<double>());
        }
        CHECK(sounding.size() == 1);
    }
    // Written for the first: E4 on the B-flat is F4 on the A and D4 on the C.
    CHECK(json["sides"][0]["notes"][0]["written"]["name"] == "E4");
    CHECK(json["sides"][1]["notes"][0]["written"]["name"] == "F4");
    CHECK(json["sides"][2]["notes"][0]["written"]["name"] == "D4");
    CHECK(json["differences"].size() == 14);
    CHECK(json["summary"].size() == 2);
}

TEST_CASE("only a note that the tongue begins, and that does not swell, has a speaking time", "[compare]")
{
    const Json json =
        compare_json_of({"--phrase", "tempo 60 mf 1/2 C5_E5 pp grow 1/1 G5 ff C5", "--instrument", "B-flat"});
    const Json& notes = json["sides"][0]["notes"];
    CHECK(notes[0]["measured"]["speaking_ms"].is_number());
    CHECK(notes[1]["measured"]["speaking_ms"].is_null()); // slurred
    CHECK(notes[2]["measured"]["speaking_ms"].is_null()); // from pp to ff
    CHECK(notes[2]["words"].empty());
    CHECK(notes[3]["measured"]["speaking_ms"].is_number());
}

TEST_CASE("a line without clarinets is told for the ideal player and the studio", "[compare]")
{
    const Json json = compare_json_of({"--phrase", "tempo 96 1/8 A4_B4_A4_B4"});
    REQUIRE(json["sides"].size() == 2);
    CHECK(json["sides"][0]["player"] == "ideal");
    CHECK(json["sides"][1]["player"] == "studio");
}

TEST_CASE("a note that one clarinet has not got stands alone in its row", "[compare]")
{
    const Json json = compare_json_of({"--phrase", "mf 1/4 E3 C4", "--instrument", "B-flat,C"});
    CHECK(json["sides"][1]["notes"][0]["silent"] == true); // sounding D3 is under the C clarinet
    CHECK(json["sides"][1]["notes"][0]["measured"].is_null());
    CHECK(json["differences"][0]["notes"] == 0);
    CHECK(json["differences"][1]["notes"] == 1);
    const Said said = compare_says({"--phrase", "mf 1/4 E3 C4", "--instrument", "B-flat,C"});
    CHECK_THAT(said.out, Catch::Contains("off the instrument"));
}

TEST_CASE("two recordings of a line are set side by side note by note", "[compare]")
{
    const Folder folder;
    const std::string line = "tempo 84 mf 1/4 C4 E4 G4 C5 1/8 G5_E5_ 1/4 C5";
    for (const char* player : {"studio", "ideal"})
        REQUIRE(canebrake_says({"render", "--phrase", line, "--player", player, "-o",
                                folder / (std::string(player) + ".wav")})
                    .code == 0);
    const Json json = compare_json_of({folder / "studio.wav", folder / "ideal.wav"});
    CHECK(json["kind"] == "recordings");
    REQUIRE(json["rows"].size() == 7);
    for (const Json& row : json["rows"]) {
        REQUIRE(row["notes"][0].is_number());
        REQUIRE(row["notes"][1].is_number());
    }
    CHECK(json["sides"][0]["notes"][3]["sounding"]["name"] == "A#4"); // C5 on the B-flat
    const Said said = compare_says({folder / "studio.wav", folder / "ideal.wav"});
    check_readable(said.out);

    const Json same = compare_json_of({folder / "studio.wav", folder / "studio.wav"});
    for (const Json& difference : same["differences"]) {
        CHECK(difference["level_db"] == 0.0);
        CHECK(difference["centroid_ratio"] == 1.0);
        CHECK(difference["words"].empty());
    }
}

TEST_CASE("compare says in one line what it cannot do", "[compare]")
{
    const Folder folder;
    const std::string text = folder.put("text.wav", "no sound");
    refused({"--notes", "E3-Z"}, 2, "--notes: found 'E3-Z'");
    refused({"--notes", "C5-C4"}, 2, "the lower note");
    refused({"--notes", "C1-D1"}, 5, "wanted some of E3 to C7");
    refused({"--dynamics", "pp,loud"}, 2, "--dynamics: found 'pp,loud'");
    refused({"--dynamics", "niente"}, 2, "--dynamics");
    refused({"--instrument", "B-flat,B-flat"}, 2, "each of them once");
    refused({"--instrument", "B-flat,,A"}, 2, "commas between");
    refused({"--instrument", "oboe"}, 2, "oboe");
    refused({"--player", "studio,somebody"}, 2, "--player");
    refused({"--phrase", "C5", "--notes", "C5"}, 2, "found a line and --notes");
    refused({folder / "a.wav"}, 2, "found one recording");
    refused({folder / "a.wav", folder / "b.wav"}, 3, "a.wav");
    refused({text, text}, 3, "text.wav");
    refused({folder / "none.mid"}, 3, "none.mid");
    refused({"--notes", "A4", "-o", folder / "x.txt"}, 2, ".html or .csv or .json");
    refused({"--notes", "A4", "-o", folder / "none/x.csv"}, 6, "there is no folder");
    CHECK(folder.names() == std::vector<std::string>{"text.wav"});
}

TEST_CASE("the B-flat's whole page stays under three megabytes, and appears whole", "[compare]")
{
    const Folder folder;
    const std::string page = folder / "b.html";
    REQUIRE(compare_says({"--notes", "E3-G6", "-o", page}).code == 0);
    const std::string bytes = bytes_of(page);
    CHECK(bytes.size() > 1000000); // the sound is in it
    CHECK(bytes.size() < 3000000);
    CHECK_THAT(bytes, Catch::StartsWith("<!DOCTYPE html>") || Catch::StartsWith("<!doctype html>"));
    CHECK(folder.names() == std::vector<std::string>{"b.html"});
}
