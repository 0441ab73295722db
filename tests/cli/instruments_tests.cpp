// SPDX-License-Identifier: MIT
#include "cli/commands/instruments/instruments.h"
#include "tests/support/said.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <sstream>

using namespace canebrake;
using namespace canebrake::test;

namespace
{

} // namespace

TEST_CASE("the family fits on one screen of 80 columns and names every member once", "[instruments]")
{
    const Said said = canebrake_says({"instruments"});
    CHECK(said.code == 0);
    CHECK(said.err.empty());
    CHECK(widest_line(said.out) <= 80);
    CHECK(std::count(said.out.begin(), said.out.end(), '\n') <= 25);
    for (const FamilyMember& m : family())
        CHECK_THAT(said.out, Catch::Contains("\n " + m.name + " "));
    CHECK_THAT(said.out,
               Catch::Contains(" B-flat             -2    E3   E6    G6    C7      D3   D6    F6    Bb6"));
}

TEST_CASE("each member has a page that names its compass, its registers and its files", "[instruments]")
{
    for (const FamilyMember& m : family()) {
        const Said said = canebrake_says({"instruments", m.name});
        CAPTURE(m.name);
        CHECK(said.code == 0);
        CHECK(widest_line(said.out) <= 80);
        CHECK_THAT(said.out, Catch::StartsWith(m.title));
        for (const char* word : {"sounds", "written", "sounding", "chalumeau", "throat", "clarion", "reed",
                                 "mouthpiece", "to pick up", "in files"})
            CHECK_THAT(said.out, Catch::Contains(std::string("\n ") + word));
    }
    const std::string bass = canebrake_says({"instruments", "bass"}).out;
    CHECK_THAT(bass, Catch::Contains("an octave and a major second below written (-14)"));
    CHECK_THAT(bass, Catch::Contains("Eb3 to A5 in a section, C6 for a professional, G6 at the extreme"));
    CHECK_THAT(bass, Catch::Contains("under 8 s risky, from 11 s safe"));
    CHECK_THAT(canebrake_says({"instruments", "bass in A"}).out,
               Catch::Contains("bass clarinet in B♭, as a rule"));
    CHECK_THAT(canebrake_says({"instruments", "a"}).out, Catch::StartsWith("clarinet in A (A)"));
}

TEST_CASE("what is not in the family is refused in one line that names the family", "[instruments]")
{
    const Said said = canebrake_says({"instruments", "ocarina"});
    CHECK(said.code == 2);
    CHECK(said.out.empty());
    CHECK(said.err == "canebrake: found instrument 'ocarina', wanted " + family_names() + "\n");
    CHECK(std::count(said.err.begin(), said.err.end(), '\n') == 1);
}

TEST_CASE("the family as JSON says what the table says", "[instruments][json]")
{
    const auto json = nlohmann::json::parse(canebrake_says({"instruments", "--json"}).out);
    CHECK(json["schema"] == "canebrake-instruments");
    CHECK(json["version"] == 1);
    REQUIRE(json["instruments"].size() == family().size());
    for (std::size_t i = 0; i < family().size(); ++i) {
        const FamilyMember& m = family()[i];
        const auto& told = json["instruments"][i];
        CHECK(told["name"] == m.name);
        CHECK(told["transposition_semitones"] == m.transposition);
        CHECK(told["lowest"]["written"]["number"] == m.lowest.number);
        CHECK(told["lowest"]["sounding"]["number"] == m.lowest.number + m.transposition);
        CHECK(told["has_model"] == has_model(m.name));
        for (const char* pitch : {"lowest", "top_section", "top_professional", "top_extreme"})
            for (const char* basis : {"written", "sounding"}) {
                const auto& p = told[pitch][basis];
                CHECK(pitch_number(p["name"].get<std::string>()) == p["number"].get<int>());
            }
    }
    const auto one = nlohmann::json::parse(canebrake_says({"instruments", "bass", "--json"}).out);
    REQUIRE(one["instruments"].size() == 1);
    // Common practice: the bass clarinet's part in treble clef sounds a ninth lower, in bass clef a second.
    CHECK(one["instruments"][0]["notations"][0] == nlohmann::json{{"clef", "treble"}, {"semitones", -14}});
    CHECK(one["instruments"][0]["notations"][1] == nlohmann::json{{"clef", "bass"}, {"semitones", -2}});
}
