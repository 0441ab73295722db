// SPDX-License-Identifier: MIT
// What `canebrake spots` tells: its text and its JSON.
#include "tests/cli/spots_support.h"

#include <regex>

using namespace canebrake;
using namespace canebrake::test;
using Catch::Contains;
using nlohmann::json;

namespace
{

/// An environment variable for a while.
struct Setting {
    Setting(const char* name, const char* value) : name_(name)
    {
        if (const char* now = std::getenv(name))
            before_ = now;
        else
            was_set_ = false;
        ::setenv(name, value, 1);
    }
    ~Setting()
    {
        if (was_set_)
            ::setenv(name_, before_.c_str(), 1);
        else
            ::unsetenv(name_);
    }
    const char* name_;
    std::string before_;
    bool was_set_ = true;
};

/// Numbers and grades of the spots a text tells.
std::vector<std::pair<int, std::string>> heads_of(const std::string& text)
{
    static const std::regex head("^ *([0-9]+)[* ] (awkward|risky|unplayable) .*");
    std::vector<std::pair<int, std::string>> heads;
    for (const std::string& line : lines_of(text))
        if (std::smatch found; std::regex_match(line, found, head))
            heads.emplace_back(std::stoi(found[1]), found[2]);
    return heads;
}

std::vector<std::pair<int, std::string>> heads_of(const json& report)
{
    std::vector<std::pair<int, std::string>> heads;
    for (const json& spot : all_spots(report))
        heads.emplace_back(spot["number"], spot["grade"]);
    return heads;
}

/// A text without its line breaks.
std::string one_line(const std::string& text)
{
    std::istringstream words(text);
    std::string line;
    for (std::string word; words >> word;)
        line += (line.empty() ? "" : " ") + word;
    return line;
}

using Names = std::set<std::string>;
Names names_of(const json& object)
{
    Names names;
    for (const auto& [name, value] : object.items())
        names.insert(name);
    return names;
}

} // namespace

TEST_CASE("every line of the text fits 80 columns, in a terminal with signs and in one without",
          "[spots][text]")
{
    const Folder folder;
    std::string long_name =
        "Clarinet in B♭ of the second orchestra behind the third curtain, on the left side ";
    const std::string score = folder.put(
        "score.musicxml",
        score_text(
            {{long_name, {rehearsal("Più mosso, a long name for a mark") + rocking_bar, wild_bar, low_bar}},
             {"Clarinet in A", {rocking_bar, notes("(E6:1 E4:1 E6:1 E4:1) -:12"), easy_bar}, -3}},
            132));
    const std::string line_of_all =
        "tempo 132 pp 1/4 E6_E4 trill B4 1/16 C5_B4_C5_D5_C5_B4_A4_G4 f C5 C5 C5 C5 C5 C5 C5 C5 C5 C5 C5 C5 "
        "1/2 slide G4 G5 rock A4 C5 C2 1/1 G6_F6_E6_D6_C6_B5_A5_G5_F5_E5_D5_C5";
    for (const std::vector<std::string>& words : {std::vector<std::string>{score},
                                                  {"--phrase", line_of_all},
                                                  {"--phrase", line_of_all, "--on", "bass"},
                                                  {"--phrase", line_of_all, "--player", "learner"}}) {
        for (const char* locale : {"C.UTF-8", "C"}) {
            const Setting all("LC_ALL", locale);
            const Said said = spots_says(words);
            CAPTURE(words, locale, said.err);
            REQUIRE(said.code == 0);
            CHECK(lines_of(said.out).size() > 20);
            for (const std::string& line : lines_of(said.out)) {
                INFO(line);
                CHECK(columns_of(line) <= 80);
                CHECK((line.empty() || line.back() != ' '));
            }
            const bool ascii = std::all_of(said.out.begin(), said.out.end(),
                                           [](char c) { return static_cast<unsigned char>(c) < 0x80; });
            CHECK(ascii == (std::string(locale) == "C"));
            if (ascii) {
                CHECK_THAT(said.out, Contains("B-flat"));
                CHECK_THAT(said.out, Contains("quarter ="));
            }
        }
    }
}

TEST_CASE("the JSON has its schema, its version and its fields", "[spots][json]")
{
    const json report = spots_json_of({"--phrase", rocking});
    CHECK(report["schema"] == "canebrake-spots");
    CHECK(report["version"] == 1);
    CHECK(names_of(report) ==
          Names{"schema", "version", "line", "player", "reading", "parts", "chairs", "not_judged"});
    CHECK(report["line"]["file"].is_null());
    CHECK(report["line"]["phrase"] == rocking);
    CHECK(report["player"] == "studio");
    CHECK(report["reading"] == "sight");
    CHECK(report["not_judged"].size() >= 4);
    REQUIRE(report["parts"].size() == 1);
    CHECK(names_of(report["parts"][0]) == Names{"part_id", "part_name", "instrument", "playable", "awkward",
                                                "risky", "unplayable", "bars_with_notes", "easy_bars",
                                                "waived", "best_suited", "best_suited_because", "assumed",
                                                "remarks", "spots"});
    const json spot = first_of(report, "rocking");
    REQUIRE(spot.is_object());
    CHECK(names_of(spot) == Names{"number",
                                  "cause",
                                  "grade",
                                  "from",
                                  "to",
                                  "start_s",
                                  "end_s",
                                  "instrument",
                                  "notes",
                                  "first_and_last_only",
                                  "sentence",
                                  "easy_up_to_quarter_tempo",
                                  "marked_quarter_tempo",
                                  "heard",
                                  "heard_ideal",
                                  "times",
                                  "again",
                                  "if",
                                  "other_kit",
                                  "in_the_score",
                                  "exposure_weight",
                                  "new"});
    CHECK(names_of(spot["from"]) == Names{"bar", "beat", "rehearsal_mark", "source"});
    CHECK(names_of(spot["heard"]) == Names{"dip_db", "settle_ms", "speaking_ms", "cents", "level_change_db",
                                           "tone_change", "in_register"});
    CHECK(spot["from"]["bar"] == "1");
    CHECK(spot["notes"][0] == json{{"written", "G4"}, {"sounding", "F4"}}); // of the B-flat clarinet
    CHECK(spot["start_s"] == 0.0);
    CHECK(spot["end_s"].get<double>() > spot["start_s"].get<double>());
    CHECK(spot["marked_quarter_tempo"] == 90.0);
    CHECK(spot["times"] == 1);
    // It is the player who dips: a keyboard's promise does not.
    CHECK(spot["heard"]["dip_db"].get<double>() > spot["heard_ideal"]["dip_db"].get<double>());
}

TEST_CASE("the text and the JSON tell the same numbers", "[spots][json][text]")
{
    const Folder folder;
    const std::string score = folder.put(
        "score.musicxml", score_text({{"Clarinet 1", {rocking_bar, wild_bar, easy_bar, low_bar}},
                                      {"Clarinet 2", {easy_bar, rocking_bar, rocking_bar, wild_bar}}}));
    for (const char* least : {"awkward", "risky", "unplayable"}) {
        const Said text = spots_says({score, "--min", least});
        const json report = spots_json_of({score, "--min", least});
        CAPTURE(least, text.out);
        CHECK(heads_of(text.out) == heads_of(report));
        for (const json& part : report["parts"]) {
            const std::string bars = std::to_string(part["easy_bars"].get<int>()) + " of " +
                                     std::to_string(part["bars_with_notes"].get<int>()) + " bars with notes";
            CHECK_THAT(one_line(text.out), Contains(bars));
        }
        // "Easy up to ♩ = 60; marked 90."
        static const std::regex easy("Easy up to ♩ = ([0-9]+); marked ([0-9]+)");
        std::vector<double> told, marked;
        for (std::sregex_iterator i(text.out.begin(), text.out.end(), easy), end; i != end; ++i) {
            told.push_back(std::stod((*i)[1]));
            marked.push_back(std::stod((*i)[2]));
        }
        std::size_t n = 0;
        for (const json& spot : all_spots(report)) {
            if (spot["easy_up_to_quarter_tempo"].is_null())
                continue;
            REQUIRE(n < told.size());
            const double exact = spot["easy_up_to_quarter_tempo"]; // to a tenth; the text rounds down
            CHECK(told[n] <= exact + 0.05);
            CHECK(told[n] > exact - 1.05);
            CHECK(marked[n] == Approx(spot["marked_quarter_tempo"].get<double>()).margin(0.5));
            ++n;
        }
        CHECK(n == told.size());
    }
}

TEST_CASE("every sentence is a sentence", "[spots][text]")
{
    const std::string line =
        "tempo 132 pp 1/4 E6_E4 trill half F#5 trill A#4 1/16 C5_B4_C5_D5_C5_B4_A4_G4 f C5 C5 C5 C5 C5 C5 C5 "
        "C5 C5 "
        "C5 C5 C5 1/2 slide G4 G5 gliss C4 C6 rock A4 C5 rock E3 G#3 C2 1/4 E3_E6 E3_A5 E3_B4 flutter C6 "
        "1/1 G6_F6_E6_D6_C6_B5_A5_G5_F5_E5_D5_C5 1/16 E3_F#3_G#3_F#3_E3_F#3_G#3_F#3 1/4 C4";
    std::set<std::string> causes;
    for (const char* who : {"studio", "learner"})
        for (const char* on : {"B-flat", "bass"}) {
            const json report = spots_json_of({"--phrase", line, "--player", who, "--instrument", on});
            for (const json& spot : all_spots(report)) {
                const std::string words = spot["sentence"];
                causes.insert(spot["cause"]);
                INFO(words);
                CHECK(words.size() > 20);
                const auto front = static_cast<unsigned char>(words.front());
                CHECK((std::isupper(front) != 0 || std::isdigit(front) != 0));
                for (const char* odd : {"  ", " ,", " ;", " .", "..", ";;", "nan", "inf", "-0", "{",
                                        "semitones", "a octave", "a augmented", "no twelfth"})
                    CHECK(words.find(odd) == std::string::npos);
                CHECK(std::string(".,; ").find(words.back()) == std::string::npos);
                CHECK(std::count(words.begin(), words.end(), '(') ==
                      std::count(words.begin(), words.end(), ')'));
            }
        }
    CHECK(causes.size() >= 10);
}
