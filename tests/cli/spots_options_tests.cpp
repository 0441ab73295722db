// SPDX-License-Identifier: MIT
// Who plays, how well it is prepared and how fast it goes change what `canebrake spots` tells.
#include "tests/cli/spots_support.h"

using namespace canebrake;
using namespace canebrake::test;
using Catch::Contains;
using nlohmann::json;

TEST_CASE("a least grade leaves out what is milder, and its counts stay", "[spots]")
{
    const std::string line =
        rocking + " mf 1/4 C5 C2 rest 1/16 G4_D5_G4_D5_G4_D5_G4_D5_G4_D5_G4_D5_G4_D5_G4_D5";
    const json all = spots_json_of({"--phrase", line}),
               risky = spots_json_of({"--phrase", line, "--min", "risky"}),
               worst = spots_json_of({"--phrase", line, "--min", "unplayable"});
    CHECK(grade_of(all, "range") == "unplayable");
    CHECK(all_spots(all).size() > all_spots(risky).size());
    CHECK(all_spots(risky).size() > all_spots(worst).size());
    CHECK(all_spots(worst).size() == 1);
    for (const json& spot : all_spots(risky))
        CHECK(spot["grade"] != "awkward");
    for (const char* count : {"awkward", "risky", "unplayable", "easy_bars"})
        CHECK(all["parts"][0][count] == worst["parts"][0][count]);
}

TEST_CASE("practice makes fingers easier a step at a time, and neither breath nor compass", "[spots]")
{
    const std::string line = fast_rocking + " 1/4 C2 rest";
    const auto grades = [&](const char* reading) {
        const json report = spots_json_of({"--phrase", line, "--reading", reading});
        return std::pair{grade_of(report, "rocking"), grade_of(report, "range")};
    };
    CHECK(grades("sight") == std::pair<std::string, std::string>{"risky", "unplayable"});
    CHECK(grades("rehearsed") == std::pair<std::string, std::string>{"awkward", "unplayable"});
    CHECK(grades("prepared") == std::pair<std::string, std::string>{"easy", "unplayable"});

    const std::string breath = "tempo 60 ff 1/1 C5_D5_E5_F5_G5_F5_E5_D5";
    CHECK(grade_of(spots_json_of({"--phrase", breath}), "breath") ==
          grade_of(spots_json_of({"--phrase", breath, "--reading", "prepared"}), "breath"));
    CHECK(grade_of(spots_json_of({"--phrase", breath}), "breath") != "easy");
}

TEST_CASE("a kit changes what it is about: circular breathing, double tongue, level and reading",
          "[spots][kit]")
{
    const Folder folder;
    const auto kit = [&](const std::string& text) { return folder.put("kit.toml", text); };
    const std::string breath = "tempo 60 ff 1/1 C5_D5_E5_F5_G5_F5_E5_D5";
    CHECK(count_cause(spots_json_of({"--phrase", breath}), "breath") == 1);
    CHECK(count_cause(spots_json_of({"--phrase", breath, "--kit", kit("circular-breathing = true")}),
                      "breath") == 0);

    std::string tongue = "tempo 144 f 1/16"; // 9.6 strokes a second for four seconds
    for (int i = 0; i < 40; ++i)
        tongue += " C5";
    CHECK(count_cause(spots_json_of({"--phrase", tongue}), "tongue") == 1);
    CHECK(count_cause(spots_json_of({"--phrase", tongue, "--kit", kit("double-tongue = true")}), "tongue") ==
          0);

    const json learner =
        spots_json_of({"--phrase", rocking, "--kit", kit("level = \"learner\"\nreading = \"rehearsed\"")});
    CHECK(learner["player"] == "learner");
    CHECK(learner["reading"] == "rehearsed");
    CHECK(spots_json_of({"--phrase", rocking, "--kit", kit("level = \"learner\""), "--player",
                         "studio"})["player"] == "studio");
}

TEST_CASE("a learner's tongue and breath reach less far than a studio player's", "[spots]")
{
    std::string tongue =
        "tempo 104 f 1/16"; // 6.9 a second: at ease for a professional, not at three quarters of it
    for (int i = 0; i < 40; ++i)
        tongue += " C5";
    CHECK(count_cause(spots_json_of({"--phrase", tongue}), "tongue") == 0);
    CHECK(count_cause(spots_json_of({"--phrase", tongue, "--player", "learner"}), "tongue") == 1);
    // The same slur sinks deeper.
    const std::string slur = "tempo 90 mf 1/8 G4_D5_G4_D5_G4_D5_G4_D5";
    const json studio = first_of(spots_json_of({"--phrase", slur}), "rocking");
    const json learner = first_of(spots_json_of({"--phrase", slur, "--player", "learner"}), "rocking");
    REQUIRE(learner.is_object());
    CHECK(learner["heard"] != studio["heard"]);
}

TEST_CASE("at the tempo that a spot calls easy, it is gone", "[spots][tempo]")
{
    for (const std::string& line :
         {std::string("tempo 172 mf 1/16 E4_F4_G4_A4_B4_C5_D5_ 1/4 E5"), rocking, fast_rocking,
          std::string("tempo 100 mp 1/16 A4_E5 1/8 rest 1/16 G4_D5 1/8 rest"),
          std::string("tempo 100 mf 1/8 C6_C5 1/4 rest 1/8 E6_E5 1/4 rest"),
          std::string(
              "tempo 152 f 1/16 C5 C5 C5 C5 D5 D5 D5 D5 E5 E5 E5 E5 F5 F5 F5 F5 G5 G5 G5 G5 A5 A5 A5 A5 "
              "G5 G5 G5 G5 F5 F5 F5 F5 E5 E5 E5 E5")}) {
        const json report = spots_json_of({"--phrase", line});
        std::size_t with_speed = 0;
        CAPTURE(line);
        for (const json& spot : all_spots(report)) {
            if (spot["easy_up_to_quarter_tempo"].is_null())
                continue;
            ++with_speed;
            const int slower = int(spot["easy_up_to_quarter_tempo"].get<double>());
            INFO(spot["sentence"].get<std::string>() << ", at " << slower);
            CHECK(slower < spot["marked_quarter_tempo"].get<double>());
            const json again = spots_json_of({"--phrase", line, "--tempo", std::to_string(slower)});
            for (const json& still : all_spots(again))
                CHECK((still["cause"] != spot["cause"] || still["from"] != spot["from"]));
        }
        CHECK(with_speed > 0);
    }
}

TEST_CASE("asked for bars, it tells of these bars, by their printed numbers", "[spots][bars]")
{
    const Folder folder;
    const std::string line = folder.put(
        "line.musicxml", score_text({{"Clarinet", {rocking_bar, easy_bar, wild_bar, rocking_bar}}}, 90, 41));
    const json all = spots_json_of({line});
    REQUIRE(count_cause(all, "rocking") >= 2);
    CHECK(first_of(all, "rocking")["from"]["bar"] == "41");
    const json middle = spots_json_of({line, "--bars", "42-43"});
    REQUIRE(count_cause(middle, "rocking") == 1);
    CHECK(first_of(middle, "rocking")["from"]["bar"] == "43");
    CHECK(first_of(middle, "rocking")["grade"] == "risky");
    CHECK(middle["parts"][0]["bars_with_notes"] == 2);
    CHECK(count_cause(spots_json_of({line, "--bars", "42"}), "rocking") == 0);
}
