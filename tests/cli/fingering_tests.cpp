// SPDX-License-Identifier: MIT
#include "cli/commands/fingering/fingering.h"
#include "engine/fingering/diagram.h"
#include "engine/telling/finger_words.h"
#include "tests/support/said.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <pugixml.hpp>

#include <bit>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <sstream>
#include <unistd.h>
#include <vector>

using namespace canebrake;
using namespace canebrake::test;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace
{

Said fingering_says(std::vector<std::string> words)
{
    words.insert(words.begin(), "fingering");
    return canebrake_says(words);
}

Json answer_of(std::vector<std::string> words)
{
    words.push_back("--json");
    const Said said = fingering_says(words);
    CAPTURE(words, said.err);
    REQUIRE(said.code == 0);
    return Json::parse(said.out);
}

/// The locale for as long as it lives.
struct Locale {
    explicit Locale(const char* name)
    {
        if (const char* value = std::getenv("LC_ALL"))
            before = value;
        ::setenv("LC_ALL", name, 1);
    }
    ~Locale() { before.empty() ? ::unsetenv("LC_ALL") : ::setenv("LC_ALL", before.c_str(), 1); }
    std::string before;
};

/// A picture's file name of the test's own, gone with it.
struct Picture {
    Picture()
        : path((fs::temp_directory_path() / ("canebrake-" + std::to_string(::getpid()) + ".svg")).string())
    {
        fs::remove(path);
    }
    ~Picture() { fs::remove(path); }
    std::string text() const
    {
        std::ifstream in(path, std::ios::binary);
        return {std::istreambuf_iterator<char>(in), {}};
    }
    std::string path;
};

std::size_t count(const std::string& text, const std::string& word)
{
    std::size_t found = 0;
    for (auto at = text.find(word); at != std::string::npos; at = text.find(word, at + word.size()))
        ++found;
    return found;
}

std::vector<std::string> names(const Json& list)
{
    return list.get<std::vector<std::string>>();
}

} // namespace

TEST_CASE("the help of the program and of fingering fits eighty columns", "[cli][fingering][words]")
{
    const Said own = fingering_says({"--help"});
    CHECK(own.code == 0);
    CHECK(widest_line(own.out) <= 80);
    for (const char* option : {"--trill", "--instrument", "--kit", "--pitch", "--json", "--ascii", "-o"})
        CHECK_THAT(own.out, Catch::Contains(option));
    std::ostringstream out, err;
    CHECK(run(std::vector<std::string>{"--help"}, out, err) == 0);
    CHECK(widest_line(out.str()) <= 80);
    CHECK_THAT(out.str(), Catch::Contains("fingering"));
}

TEST_CASE("C5 is told in a player's words, the usual fingering first", "[cli][fingering]")
{
    const Said said = fingering_says({"C5", "--ascii"});
    CHECK(said.code == 0);
    CHECK(said.err.empty());
    CHECK_THAT(said.out, Catch::StartsWith("C5 written, Bb4 sounding (clarinet in B-flat)\n"));
    const auto usual = said.out.find("the usual fingering");
    CHECK(usual != std::string::npos);
    CHECK(usual < said.out.find("in passing only"));
    // Common practice, no source: all fingers down but the E/B key, the register key open.
    CHECK_THAT(said.out, Catch::Contains("register key, thumb, all six fingers, right little finger on F/C"));
    CHECK_THAT(said.out, Catch::Contains("(or the left)"));
    CHECK_THAT(said.out, Catch::Contains("open        register vent, E/B\n"));
}

TEST_CASE("every note of the instrument prints in eighty columns with all its holes", "[cli][fingering]")
{
    const Locale utf8("C.UTF-8");
    const Instrument& instrument = b_flat_soprano();
    const std::size_t holes = instrument.geometry.holes.size();
    for (int n = instrument.fingerings.front().written.number; n <= 96; ++n) {
        const Said said = fingering_says({pitch_name(n)});
        CAPTURE(pitch_name(n));
        REQUIRE(said.code == 0);
        CHECK(widest_line(said.out) <= 80);
        const std::size_t ways = count(said.out, "\n way ");
        CHECK(ways >= 1);
        std::size_t rows = 0, open = 0;
        for (const Fingering& f : instrument.fingerings)
            if (f.written.number == n) {
                ++rows;
                open += std::size_t(std::popcount(open_holes(instrument, f)));
            }
        CHECK(ways == rows); // ways by the other little finger are the same way
        const std::size_t legend = 1;
        CHECK(count(said.out, "○") == open + legend);
        CHECK(count(said.out, "●") == ways * holes - open + legend);
    }
}

TEST_CASE("a drawing has as many holes as the instrument, filled where they are closed", "[cli][fingering]")
{
    const Instrument& instrument = b_flat_soprano();
    for (const Fingering& f : instrument.fingerings) {
        const Hands hands = hands_of(shared_between_hands(f.keys).front());
        const auto open = std::size_t(std::popcount(open_holes(instrument, f)));
        const std::string plain = text_diagram(instrument, f, hands, false);
        CAPTURE(f.keys, plain);
        CHECK(count(plain, "@") == instrument.geometry.holes.size() - open);
        // An o is a hole only inside the tube: the first line says "vent", the lanes are named before it.
        CHECK(count(plain, "o") == open);
        CHECK(widest_line(plain) <= 80);
        // The same picture either way, sign for sign.
        const std::string drawn = text_diagram(instrument, f, hands, true);
        CHECK(count(drawn, "●") == count(plain, "@"));
        CHECK(count(drawn, "\n") == count(plain, "\n"));
    }
}

TEST_CASE("a finger that is down stands under what it holds", "[cli][fingering]")
{
    const Instrument& instrument = b_flat_soprano();
    const Fingering& b4 = *instrument.primary({71});
    const auto fingers = drawn_fingers(instrument, hands_of("R T L1 L2 L3 R1 R2 R3 E:l"));
    CHECK(fingers.size() == 9); // the thumb twice: its hole and the register key
    CHECK(std::count_if(fingers.begin(), fingers.end(), [](const auto& f) { return f.left; }) == 6);
    CHECK(fingers.front() == DrawnFinger{instrument.geometry.holes[instrument.vent_index].x_m, true, 't'});
    CHECK(fingers.back() == DrawnFinger{instrument.geometry.holes.back().x_m, true, 'l'});
    for (const DrawnHole& hole : drawn_holes(instrument, b4))
        CHECK(hole.open == hole.vent);
    // Every token of every finger has a hole of this instrument.
    for (const auto token : key_tokens)
        CHECK(token.starts_with("l") == // keys below E3, which this one has not
              std::none_of(instrument.geometry.holes.begin(), instrument.geometry.holes.end(),
                           [&](const ToneHole& hole) { return hole.name == hole_at(token); }));
}

TEST_CASE("without UTF-8 in the locale, and with --ascii, nothing but ASCII is printed", "[cli][fingering]")
{
    const auto ascii = [](const std::string& text) {
        return std::all_of(text.begin(), text.end(), [](char c) { return c > 0; });
    };
    for (const std::vector<std::string>& words :
         std::vector<std::vector<std::string>>{{"Bb4"}, {"A4", "B4"}, {"--trill", "F5", "F#5"}}) {
        {
            const Locale bare("C");
            CHECK(ascii(fingering_says(words).out));
        }
        const Locale utf8("en_GB.UTF-8");
        CHECK_FALSE(ascii(fingering_says(words).out));
        auto forced = words;
        forced.push_back("--ascii");
        CHECK(ascii(fingering_says(forced).out));
    }
}

TEST_CASE("slurs and trills print in eighty columns", "[cli][fingering]")
{
    for (const auto& [a, b] : std::vector<std::pair<std::string, std::string>>{{"E3", "F#3"},
                                                                               {"Bb3", "B3"},
                                                                               {"G4", "Ab4"},
                                                                               {"A4", "C5"},
                                                                               {"B4", "C#5"},
                                                                               {"G#5", "F#5"},
                                                                               {"C6", "D6"},
                                                                               {"E3", "E5"},
                                                                               {"F6", "G6"}}) {
        CAPTURE(a, b);
        const Said slur = fingering_says({a, b}), trill = fingering_says({"--trill", a, b});
        CHECK(slur.code == 0);
        CHECK(trill.code == 0);
        CHECK(widest_line(slur.out) <= 80);
        CHECK(widest_line(trill.out) <= 80);
        CHECK_THAT(trill.out, Catch::Contains("\n best "));
    }
}

TEST_CASE("the half step from B-flat4 to B4 closes everything but the register vent", "[cli][fingering]")
{
    // Common practice, no source: the break.
    const Json slur = answer_of({"Bb4", "B4"})["slur"];
    CHECK(names(slur["to"]["open"]) == std::vector<std::string>{"vent"});
    CHECK(slur["from"]["open"].size() > 12);
    CHECK(slur["over_the_break"] == true);
    CHECK(slur["other_register"] == true);
    CHECK(slur["moves"].size() >= 8);
}

TEST_CASE("a twelfth moves the register key only, an octave moves a handful", "[cli][fingering]")
{
    // Common practice, no source.
    for (const auto& [low, high] :
         std::vector<std::pair<std::string, std::string>>{{"E3", "B4"}, {"C4", "G5"}, {"F4", "C6"}}) {
        CAPTURE(low, high);
        const Json slur = answer_of({low, high})["slur"];
        REQUIRE(slur["moves"].size() == 1);
        CHECK(slur["moves"][0]["finger"] == "left thumb");
        CHECK(slur["over_the_break"] == false);
        CHECK_FALSE(slur["speed"]["limit"].is_null());
    }
    CHECK(answer_of({"C5", "C6"})["slur"]["moves"].size() >= 6);
    CHECK(answer_of({"A4", "A5"})["slur"]["moves"].size() >= 3);
}

TEST_CASE("over the break by step is easy to about ten notes a second, and easier with the hand down",
          "[cli][fingering]")
{
    // Common practice, no source: easy to 10, awkward to 13; the right hand is put down early.
    const Json answer = answer_of({"A4", "B4"});
    const Json speed = answer["slur"]["speed"];
    CHECK(speed["easy_notes_per_s"].get<double>() == Approx(10.0).margin(0.7));
    CHECK(speed["awkward_notes_per_s"].get<double>() == Approx(13.0).margin(1.0));
    CHECK(speed["easy_quarter_tempo"].get<double>() ==
          Approx(15.0 * speed["easy_notes_per_s"].get<double>()).margin(1.0));
    REQUIRE(!answer["less_work"].empty());
    const Json& best = answer["less_work"][0];
    CHECK(best["effort"] < answer["slur"]["effort"]);
    CHECK(best["from"]["use"] == "resonance");
    CHECK_THAT(best["from"]["keys"].get<std::string>(), Catch::Contains("R1 R2 R3"));
    // A leap into the clarion from the throat is slower than the step.
    CHECK(answer_of({"G4", "E5"})["slur"]["speed"]["easy_notes_per_s"].get<double>() <= 4.0);
    // Downward the old note hangs on: graded harder than upward.
    CHECK(answer_of({"C6", "C5"})["slur"]["speed"]["easy_notes_per_s"] <
          answer_of({"C5", "C6"})["slur"]["speed"]["easy_notes_per_s"]);
}

TEST_CASE("from F5 to F sharp5 the fork goes against itself and the sliver is less work", "[cli][fingering]")
{
    // Facts of the trade, "flip-flop": clarinet-tutor.com and players' forums as read for the project's
    // notes.
    const Json answer = answer_of({"F5", "F#5"});
    CHECK(answer["slur"]["contrary_in_a_hand"] == true);
    REQUIRE(!answer["less_work"].empty());
    CHECK(answer["less_work"][0]["to"]["name"] == "sliver");
    CHECK(answer["less_work"][0]["moves"].size() == 1);
}

TEST_CASE("trills from A4 and B-flat4 over the break go by the side keys", "[cli][fingering]")
{
    // Common practice, no source.
    const Json trills = answer_of({"--trill", "A4", "B4"})["trills"];
    REQUIRE(!trills.empty());
    CHECK(trills.size() <= 4);
    const Json& best = trills[0];
    REQUIRE(best["moves"].size() == 1);
    CHECK(best["moves"][0]["finger"] == "right index");
    CHECK(best["moves"][0]["to"] == "S4");
    CHECK(std::abs(best["error_cents"].get<double>()) < 25.0);
    CHECK(best["learner_notes_per_s"].get<double>() ==
          Approx(0.75 * best["notes_per_s"].get<double>()).margin(0.1));
    for (const char* upper : {"B4", "C5"}) {
        const Json answer = answer_of({"--trill", "Bb4", upper});
        CAPTURE(upper, answer["trills"][0]["words"]);
        CHECK_FALSE(answer["trills"][0]["moves"].empty());
        for (const auto& move : answer["trills"][0]["moves"])
            CHECK((move["finger"] == "right index" || move["finger"] == "left thumb"));
    }
    // Either order, same answer.
    CHECK(answer_of({"--trill", "B4", "A4"})["trills"] == trills);
    // Rocking A4-B4 is easier that way than by the whole hand: the slur says so.
    CHECK(answer_of({"A4", "B4"})["to_and_fro"]["moves"] == best["moves"]);
}

TEST_CASE("a trill that is no better than awkward says why", "[cli][fingering]")
{
    for (const auto& [a, b] : std::vector<std::pair<std::string, std::string>>{
             {"C#4", "D#4"}, {"F#5", "G#5"}, {"B3", "C#4"}, {"Bb4", "B4"}, {"E3", "F#3"}, {"E4", "E6"}}) {
        const Json answer = answer_of({"--trill", a, b});
        CHECK_FALSE(answer["trills"].empty());
        for (const auto& way : answer["trills"]) {
            CAPTURE(a, b, way.dump());
            CHECK(way["grade"] != "unplayable");
            if (way["grade"] != "easy")
                CHECK_FALSE(way["reasons"].empty());
        }
    }
}

TEST_CASE("sounding pitch finds the same fingering, and both names are given", "[cli][fingering]")
{
    const Json written = answer_of({"C5"}), sounding = answer_of({"Bb4", "--pitch", "sounding"});
    CHECK(sounding["asked_in"] == "sounding");
    CHECK(sounding["fingerings"] == written["fingerings"]);
    CHECK(sounding["notes"] == written["notes"]);
    CHECK(sounding["notes"][0]["written"]["name"] == "C5");
    CHECK(sounding["notes"][0]["sounding"]["name"] == "Bb4");
    CHECK_THAT(fingering_says({"Bb4", "--pitch", "sounding"}).out,
               Catch::StartsWith("C5 written, Bb4 sounding"));
}

TEST_CASE("the answer in JSON has the documented fields", "[cli][fingering]")
{
    const Json note = answer_of({"F#5"});
    CHECK(note["schema"] == "canebrake-fingering");
    CHECK(note["version"] == 1);
    CHECK(note["question"] == "note");
    CHECK(note["instrument"]["name"] == "B-flat");
    CHECK(note["holes"].size() == b_flat_soprano().geometry.holes.size());
    std::set<std::string> known;
    double before = 0.0;
    for (const auto& hole : note["holes"]) {
        known.insert(hole["name"].get<std::string>());
        CHECK(hole["x_mm"] > before);
        before = hole["x_mm"];
    }
    REQUIRE(note["fingerings"].size() >= 2);
    CHECK(note["fingerings"][0]["use"] == "primary");
    for (const auto& way : note["fingerings"]) {
        for (const char* field :
             {"keys", "words", "name", "use", "open", "hands", "when", "register", "sound"})
            CHECK(way.contains(field));
        for (const auto& hole : way["open"])
            CHECK(known.count(hole.get<std::string>()) == 1);
        if (!way["sound"].is_null())
            for (const char* field : {"cents", "cents_pp", "cents_ff", "level_db", "centroid_hz", "colour"})
                CHECK(way["sound"].contains(field));
    }
    const Json slur = answer_of({"F#5", "G5"});
    CHECK(slur["question"] == "slur");
    for (const char* field : {"from", "to", "moves", "effort", "contrary_in_a_hand", "contrary_between_hands",
                              "little_finger_slide", "speed", "over_the_break", "other_register"})
        CHECK(slur["slur"].contains(field));
    CHECK(slur.contains("less_work"));
    CHECK(slur.contains("to_and_fro"));
    const Json trill = answer_of({"F#5", "G5", "--trill"});
    CHECK(trill["question"] == "trill");
    for (const auto& way : trill["trills"])
        for (const char* field : {"lower", "upper", "moves", "words", "error_cents", "notes_per_s",
                                  "learner_notes_per_s", "effort", "grade", "reasons"})
            CHECK(way.contains(field));
}

TEST_CASE("the ear finds the primaries in tune as the instrument's table says", "[cli][fingering]")
{
    const Instrument& instrument = b_flat_soprano();
    const FingeringEar ear(instrument);
    for (std::size_t row = 0; row < instrument.fingerings.size(); row += 1)
        if (instrument.fingerings[row].primary &&
            instrument.fingerings[row].written <= instrument.top_professional) {
            const FingeringSound sound = ear.hear(row);
            CAPTURE(instrument.fingerings[row].keys);
            CHECK(sound.speaks);
            CHECK(sound.level_db == Approx(instrument.blowing_at(row, 4.0).level_db).margin(2.0));
            CHECK(sound.centroid_hz > 300.0);
        }
}

TEST_CASE("B-flat4 by the side key is clearer, fingers put down under a throat note darken it",
          "[cli][fingering]")
{
    // Common practice, no source.
    bool side = false, darker = false;
    const Json answer = answer_of({"Bb4"});
    for (const auto& way : answer["fingerings"]) {
        if (way["name"] == "side" && way["use"] == "alternate") {
            side = true;
            CHECK(way["sound"]["colour"] == "brighter");
        }
        if (way["use"] == "resonance" && !way["sound"].is_null())
            darker |= way["sound"]["colour"] == "darker";
    }
    CHECK(side);
    CHECK(darker);
}

TEST_CASE("the player's kit opens ways and sets the speed", "[cli][fingering]")
{
    const std::string path =
        (fs::temp_directory_path() / ("canebrake-" + std::to_string(::getpid()) + ".toml")).string();
    const auto with = [&](const std::string& kit, std::vector<std::string> words) {
        std::ofstream(path) << kit;
        words.insert(words.end(), {"--kit", path});
        const Json answer = answer_of(words);
        fs::remove(path);
        return answer;
    };
    // Common practice, no source: a left A-flat/E-flat lever takes D sharp5 after C5 on the right.
    const auto hands = [](const Json& answer) { return answer["fingerings"][0]["hands"].size(); };
    CHECK(hands(with("left-a-flat-lever = true", {"D#5"})) == hands(answer_of({"D#5"})) + 1);
    const auto easy = [](const Json& answer) {
        return answer["slur"]["speed"]["easy_notes_per_s"].get<double>();
    };
    CHECK(easy(with("level = \"learner\"", {"C4", "D4"})) ==
          Approx(0.75 * easy(answer_of({"C4", "D4"}))).margin(0.02));
    // The articulated C sharp/G sharp key is made for this trill.
    const auto cents = [](const Json& answer) {
        return std::abs(answer["trills"][0]["error_cents"].get<double>());
    };
    const Json articulated = with("articulated-c-sharp = true", {"--trill", "F#5", "G#5"});
    CHECK(articulated["kit"]["articulated_c_sharp"] == true);
    CHECK(articulated["trills"][0]["effort"] <= answer_of({"--trill", "F#5", "G#5"})["trills"][0]["effort"]);
    CHECK(cents(articulated) < 25.0);
    std::ofstream(path) << "level = \"soloist\"";
    const Said said = fingering_says({"C5", "--kit", path});
    fs::remove(path);
    CHECK(said.code == 3);
    CHECK(count(said.err, "\n") == 1);
}

TEST_CASE("the picture is an SVG with one tube a fingering, holes to scale, and words for who cannot see it",
          "[cli][fingering]")
{
    const Instrument& instrument = b_flat_soprano();
    const auto holes = instrument.geometry.holes.size();
    const std::vector<std::pair<std::vector<std::string>, std::size_t>> calls{
        {{"D#6"}, answer_of({"D#6"})["fingerings"].size()},
        {{"A#4"}, answer_of({"A#4"})["fingerings"].size()},
        {{"A4", "B4"}, 2},
        {{"--trill", "A4", "B4"}, 2 * answer_of({"--trill", "A4", "B4"})["trills"].size()}};
    for (const auto& [words, rows] : calls) {
        const Picture picture;
        auto call = words;
        call.insert(call.end(), {"-o", picture.path});
        CAPTURE(call);
        REQUIRE(fingering_says(call).code == 0);
        pugi::xml_document document;
        REQUIRE(document.load_string(picture.text().c_str(), pugi::parse_full));
        const pugi::xml_node svg = document.child("svg");
        CHECK(std::string(svg.attribute("xmlns").value()) == "http://www.w3.org/2000/svg");
        CHECK(std::string(svg.child("title").child_value()).find("sounding") != std::string::npos);
        CHECK(std::string(svg.child("desc").child_value()).find("open: ") != std::string::npos);
        // 180 mm of paper: a letter of the widest common sans serif is 2 mm wide, a bold one 2.3 mm.
        for (const auto& found : document.select_nodes("//text")) {
            const std::string line = found.node().child_value();
            CHECK(line.size() <= (std::string(found.node().attribute("class").value()) == "name" ? 76 : 92));
        }
        std::size_t tubes = 0;
        for (const pugi::xml_node group : svg.children("g")) {
            ++tubes;
            CHECK(group.child("title"));
            std::vector<double> x;
            for (const pugi::xml_node hole : group.children("circle")) {
                x.push_back(hole.attribute("cx").as_double());
                const std::string fill = hole.attribute("fill").value(),
                                  kind = hole.attribute("class").value();
                CHECK(fill == (kind == "open" ? "#fff" : "#000"));
            }
            REQUIRE(x.size() == holes);
            const double scale = (x.back() - x.front()) / (instrument.geometry.holes.back().x_m -
                                                           instrument.geometry.holes.front().x_m);
            for (std::size_t h = 0; h < holes; ++h)
                CHECK(x[h] - x[0] ==
                      Approx(scale * (instrument.geometry.holes[h].x_m - instrument.geometry.holes[0].x_m))
                          .margin(0.02));
        }
        CHECK(tubes == rows);
    }
    const Picture picture;
    REQUIRE(fingering_says({"B4", "-o", picture.path}).code == 0);
    pugi::xml_document document;
    REQUIRE(document.load_string(picture.text().c_str()));
    // The usual B4: everything closed but the vent.
    std::size_t closed = 0;
    for (const pugi::xml_node hole : document.child("svg").child("g").children("circle"))
        closed += std::string(hole.attribute("class").value()) == "closed";
    CHECK(closed == holes - 1);
}

TEST_CASE("questions that make no sense are refused in one clear line", "[cli][fingering][words]")
{
    const auto refused = [](const std::vector<std::string>& words, int code, const std::string& content) {
        const Said said = fingering_says(words);
        CAPTURE(words, said.err);
        CHECK(said.code == code);
        CHECK(said.out.empty());
        CHECK(count(said.err, "\n") == 1);
        CHECK_THAT(said.err, Catch::StartsWith("canebrake: ") && Catch::Contains(content));
    };
    refused({}, 2, "found no note");
    refused({"H4"}, 2, "found 'H4', wanted a note");
    refused({"A4", "B4", "C5"}, 2, "found 3 notes");
    refused({"A4", "A4"}, 2, "two different notes");
    refused({"--trill", "A4"}, 2, "wanted two");
    refused({"--trill", "E3", "E6"}, 2, "24 at most");
    refused({"C5", "--pitch", "loud"}, 2, "written or sounding");
    refused({"C5", "--instrument", "kazoo"}, 2, "kazoo");
    refused({"C5", "--colour", "red"}, 2, "canebrake fingering --help");
    refused({"C5", "-o", "c5.png"}, 2, "ends in .svg");
    refused({"C2"}, 5, "written E3 to C");
    refused({"A4", "C9"}, 5, "found C9");
    refused({"D3", "--pitch", "sounding", "C3"}, 5, "found C3, written D3");
    refused({"C5", "-o", "/no/such/folder/c5.svg"}, 6, "no folder");
}
