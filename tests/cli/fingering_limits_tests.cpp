// SPDX-License-Identifier: MIT
// From where on `fingering` tells two things apart: colours, intervals, work. The limits are common practice,
// no source; that a player is told of no less and of no more is what is tested.
#include "engine/fingering/sound.h"
#include "tests/support/said.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

using namespace canebrake;
using namespace canebrake::test;
using Json = nlohmann::json;

namespace
{

Json answer_of(std::vector<std::string> words)
{
    words.insert(words.begin(), "fingering");
    words.push_back("--json");
    const Said said = canebrake_says(words);
    CAPTURE(words, said.err);
    REQUIRE(said.code == 0);
    return Json::parse(said.out);
}

std::string colour(double centroid_hz, double reference_hz)
{
    FingeringSound here, there;
    here.centroid_hz = centroid_hz;
    there.centroid_hz = reference_hz;
    return word(colour_against(here, there));
}

} // namespace

TEST_CASE("a fingering is called brighter or darker from an eighth of its centroid on", "[cli][fingering]")
{
    for (const double hz : {400.0, 2000.0}) {
        CHECK(colour(1.11 * hz, hz) == "about the same");
        CHECK(colour(1.14 * hz, hz) == "brighter");
        CHECK(colour(hz, 1.11 * hz) == "about the same");
        CHECK(colour(hz, 1.14 * hz) == "darker");
    }
    // What is printed follows from the figures beside it.
    std::size_t same = 0, apart = 0;
    for (const char* note : {"F#4", "A4", "Bb4", "E6", "F#6"}) {
        const Json ways = answer_of({note})["fingerings"];
        const double usual_hz = ways.at(0).at("sound").at("centroid_hz");
        for (const Json& way : ways) {
            if (&way == &ways[0] || way["sound"].is_null())
                continue;
            const double share = way["sound"]["centroid_hz"].get<double>() / usual_hz;
            const std::string told = way["sound"]["colour"];
            CAPTURE(note, way["keys"], share);
            if (share >= 1.14 || share <= 1.0 / 1.14) {
                ++apart;
                CHECK(told == (share > 1.0 ? "brighter" : "darker"));
            } else if (share <= 1.11 && share >= 1.0 / 1.11) {
                ++same;
                CHECK(told == "about the same");
            }
        }
    }
    CHECK(same >= 5);
    CHECK(apart >= 5);
}

TEST_CASE("a trill's interval is called narrow or wide where it can be heard, and not where it cannot",
          "[cli][fingering]")
{
    std::size_t told = 0, fine = 0;
    for (const auto& [low, high] : std::vector<std::pair<const char*, const char*>>{{"E3", "F#3"},
                                                                                    {"G#3", "A#3"},
                                                                                    {"A3", "B3"},
                                                                                    {"D4", "E4"},
                                                                                    {"F#4", "G#4"},
                                                                                    {"C#5", "D#5"},
                                                                                    {"D6", "E6"}}) {
        const Json answer = answer_of({"--trill", low, high});
        for (const Json& way : answer["trills"]) {
            const double cents = way["error_cents"];
            const auto says = [&](const char* what) {
                const auto why = way["reasons"].get<std::vector<std::string>>();
                return std::count(why.begin(), why.end(), what) > 0;
            };
            CAPTURE(low, high, cents, way["reasons"].dump());
            if (std::abs(cents) <= 10.5) {
                ++fine;
                CHECK_FALSE(says("narrow"));
                CHECK_FALSE(says("wide"));
            } else if (std::abs(cents) >= 13.5) {
                ++told;
                CHECK(says("narrow") == (cents < 0.0));
                CHECK(says("wide") == (cents > 0.0));
            }
        }
    }
    CHECK(told >= 7);
    CHECK(fine >= 7);
}

TEST_CASE("another fingering is told as less work only if it is clearly less", "[cli][fingering]")
{
    const auto less_work = [](const char* from, const char* to) {
        std::vector<std::string> names;
        const Json answer = answer_of({from, to});
        for (const Json& way : answer["less_work"])
            for (const char* side : {"from", "to"})
                if (way[side]["use"] != "primary")
                    names.push_back(way[side]["name"]);
        return names;
    };
    // The second side key takes B-flat4 off A4 without the index finger's roll and the thumb's.
    CHECK(less_work("A4", "Bb4") == std::vector<std::string>{"side"});
    // One key instead of another that lies as well; a thumb that leaves two places instead of three fingers.
    for (const auto& [from, to] : {std::pair{"D4", "Eb4"}, {"A5", "Bb5"}, {"G#5", "C#6"}, {"B5", "F#6"}}) {
        CAPTURE(from, to, less_work(from, to));
        CHECK(less_work(from, to).empty());
        const std::vector<std::string> words{"fingering", from, to};
        CHECK_THAT(canebrake_says(words).out,
                   Catch::Contains("no other fingering of the two makes it clearly"));
    }
}
