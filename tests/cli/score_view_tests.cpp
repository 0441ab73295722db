// SPDX-License-Identifier: MIT
// What sounds beside a clarinet, and how one player gets from one part to another.
#include "engine/score/score_view.h"

#include "engine/files/musicxml/read_musicxml.h"
#include "engine/files/read.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cstdlib>
#include <filesystem>

using namespace canebrake;

namespace
{

struct PartText {
    std::string name;
    std::vector<std::string> bars;
    std::string more{}; ///< behind the name in the part list
};

/// 4/4 at 60 quarters a minute; two divisions a quarter; pitches sound as they are printed.
std::string score_text(const std::vector<PartText>& parts)
{
    std::string list, music;
    for (std::size_t p = 0; p < parts.size(); ++p) {
        const std::string id = "P" + std::to_string(p + 1);
        list += "<score-part id=\"" + id + "\"><part-name>" + parts[p].name + "</part-name>" + parts[p].more +
                "</score-part>";
        music += "<part id=\"" + id + "\">";
        for (std::size_t i = 0; i < parts[p].bars.size(); ++i)
            music += "<measure number=\"" + std::to_string(i + 1) + "\">" +
                     (i > 0 ? ""
                            : "<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4"
                              "</beat-type></time></attributes><sound tempo=\"60\"/>") +
                     parts[p].bars[i] + "</measure>";
        music += "</part>";
    }
    return "<score-partwise version=\"4.0\"><part-list>" + list + "</part-list>" + music +
           "</score-partwise>";
}
Score score_of(const std::vector<PartText>& parts)
{
    return read_musicxml(score_text(parts), "a.xml");
}

/// "C5 D5 - F#5": quarters, "-" a rest; or another length in divisions.
std::string notes(const std::string& text, int divisions = 2)
{
    std::string xml;
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t end = std::min(text.find(' ', at), text.size());
        const std::string pitch = text.substr(at, end - at);
        at = end + 1;
        xml += pitch == "-" ? "<note><rest/>"
                            : "<note><pitch><step>" + pitch.substr(0, 1) + "</step>" +
                                  (pitch[1] == '#' ? "<alter>1</alter>" : "") + "<octave>" + pitch.back() +
                                  "</octave></pitch>";
        xml += "<duration>" + std::to_string(divisions) + "</duration></note>";
    }
    return xml;
}
const std::string rest = notes("-", 8);

std::string dynamic(const std::string& mark)
{
    return "<direction><direction-type><dynamics><" + mark + "/></dynamics></direction-type></direction>";
}

const std::string tune = notes("C5 E5 D5 G5");

std::string said(const Score& score, std::size_t part = 0, double from = 0.0, double to = 4.0)
{
    return exposure_words(exposure(score, part, from, to));
}

std::filesystem::path shared_score(const std::string& name)
{
    const char* folder = std::getenv("CANEBRAKE_SHARED");
    return (folder != nullptr ? std::filesystem::path(folder)
                              : std::filesystem::path(__FILE__).parent_path() / "../../../shared") /
           "scores" / name;
}

/// The first time it is played.
const Bar& bar_of(const Line& line, const std::string& number)
{
    const auto found =
        std::find_if(line.bars.begin(), line.bars.end(), [&](const Bar& b) { return b.number == number; });
    REQUIRE(found != line.bars.end());
    return *found;
}
Exposure in_bar(const ScoreView& view, const Score& score, std::size_t part, const std::string& number)
{
    const Bar& bar = bar_of(score.parts[part], number);
    return view.exposure(part, bar.start_quarter, bar.start_quarter + bar.length_quarters);
}

} // namespace

TEST_CASE("clarinets are found by name, sound and what they change to", "[score]")
{
    const Score score = score_of(
        {{"Flute", {tune}},
         {"Klarinette in A", {tune}},
         {"Reed",
          {tune},
          "<score-instrument id=\"I1\"><instrument-name>r</instrument-name><instrument-sound>"
          "wind.reed.clarinet.bass</instrument-sound></score-instrument>"},
         {"Alto Saxophone",
          {tune, "<direction><direction-type><words>change to Clarinet</words></direction-type></direction>" +
                     tune}},
         {"Viola", {tune}},
         {"Clarinet 3", {rest}}}); // no notes: nothing to judge
    CHECK(clarinet_parts(score) == std::vector<std::size_t>{1, 2, 3});
}

TEST_CASE("the only part counts as a clarinet unless it says that it is none", "[score]")
{
    CHECK(clarinet_parts(score_of({{"Melody", {tune}}})) == std::vector<std::size_t>{0});
    CHECK(clarinet_parts(score_of({{"Melody", {tune}}, {"Left hand", {rest}}})) ==
          std::vector<std::size_t>{0});
    CHECK(clarinet_parts(score_of({{"Flute", {tune}}})).empty());
    CHECK(clarinet_parts(score_of({{"Melody", {tune}}, {"Left hand", {tune}}})).empty());
    CHECK(clarinet_parts(Score{}).empty());
}

TEST_CASE("nobody else sounds: alone", "[score]")
{
    const Score score = score_of({{"Clarinet", {tune, tune}}, {"Viola", {rest, notes("- - - C4")}}});
    CHECK(said(score) == "alone");
    CHECK(said(score, 0, 4.0, 7.0) == "alone"); // the viola comes a beat later
    CHECK(said(score, 0, 4.0, 8.0) != "alone");
    CHECK(exposure(score, 0, 0.0, 4.0).weight == 1.5);
    CHECK(said(score, 1) == ""); // a passage of rests
}

TEST_CASE("a part taken out of its score does not say that it is alone", "[score]")
{
    CHECK(said(score_of({{"Clarinet", {tune}}})) == "");
    CHECK(exposure(score_of({{"Clarinet", {tune}}, {"Viola", {rest}}}), 0, 0.0, 4.0).weight == 1.0);
    CHECK(said(score_of({{"Clarinet", {tune, rest}}, {"Viola", {rest, tune}}})) == "alone");
}

TEST_CASE("few and soft others leave it exposed, more or louder ones do not", "[score]")
{
    const auto beside = [](const std::string& mark, std::size_t sections) {
        std::vector<PartText> parts{{"Clarinet", {tune}}};
        const std::vector<std::string> names{"Viola", "Horn 1", "Horn 2", "Cello", "Harp"};
        for (std::size_t i = 0; i < names.size() && i < sections; ++i)
            parts.push_back({names[i], {dynamic(mark) + notes("B3", 8)}});
        return score_of(parts);
    };
    CHECK(said(beside("p", 1)) == "exposed, with Viola");
    CHECK(exposure(beside("p", 1), 0, 0.0, 4.0).weight == 1.3);
    CHECK(said(beside("pp", 2)) == "exposed, with Viola and Horn 1");
    CHECK(said(beside("p", 4)) == "exposed, with Viola, Horn and Cello"); // two horns are one section
    CHECK(said(beside("p", 5)) == "");
    CHECK(said(beside("mp", 1)) == "");
    CHECK(exposure(beside("mp", 1), 0, 0.0, 4.0).weight == 1.0);
}

TEST_CASE("the same notes in unison or octaves double, others do not", "[score]")
{
    const auto with = [](const std::string& other) {
        return said(score_of({{"Clarinet", {tune + notes("A5 G5 F5 E5")}}, {"Flute 1", {other}}}), 0, 0.0,
                    8.0);
    };
    CHECK(with(tune + notes("A5 G5 F5 E5")) == "doubled by Flute 1");
    CHECK(with(notes("C6 E6 D6 G6 A6 G6 F6 E6")) == "doubled by Flute 1");
    CHECK(with(notes("C3 E3 D3 G3 A3 G3 F3 E3")) == "doubled by Flute 1"); // two octaves below
    CHECK(with(notes("C2 E2 D2 G2 A2 G2 F2 E2")) == "");                   // three are another line
    CHECK(with(notes("C5 E5 D5 G5 A5 G5 F5 -")) == "doubled by Flute 1");  // 7 of 8
    CHECK(with(notes("C5 E5 D5 G5 A5 G5 - -")) == "");                     // 6 of 8
    CHECK(with(notes("E5 G5 F5 B5 C6 B5 A5 G5")) == "");                   // thirds
    CHECK(with(notes("-", 1) + notes("C5 E5 D5 G5 A5 G5 F5")) == "");      // the same half a beat late
}

TEST_CASE("one common note of a chord is no doubling, of a shared tune it is", "[score]")
{
    const Score chord = score_of({{"Clarinet", {notes("- C5 - -")}}, {"Flute", {notes("- C5 - -")}}});
    CHECK(said(chord, 0, 1.0, 2.0) == "");
    const Score tunes = score_of({{"Clarinet", {tune, tune}}, {"Flute", {tune, tune}}});
    CHECK(said(tunes, 0, 1.0, 2.0) == "doubled by Flute");
    const Score meeting =
        score_of({{"Clarinet", {tune, tune}}, {"Flute", {notes("G5 E5 F5 E6"), notes("A5 B5 A5 B5")}}});
    CHECK(said(meeting, 0, 1.0, 2.0) == "");
}

TEST_CASE("transposing parts are compared as they sound", "[score]")
{
    // A B flat clarinet sounds a tone below what is printed (MusicXML `transpose`).
    const std::string b_flat = "<attributes><transpose><chromatic>-2</chromatic></transpose></attributes>";
    CHECK(said(score_of({{"Clarinet in B♭", {b_flat + notes("D5 F#5 E5 A5")}}, {"Flute", {tune}}})) ==
          "doubled by Flute");
    CHECK(said(score_of({{"Clarinet in B♭", {b_flat + tune}}, {"Flute", {tune}}})) == "");
}

TEST_CASE("loud brass covers, by its name in four languages or its sound", "[score]")
{
    const auto under = [](const std::string& name, const std::string& mark, const std::string& more = "") {
        return said(score_of({{"Clarinet", {tune}}, {name, {dynamic(mark) + notes("B3", 8)}, more}}));
    };
    for (const char* brass : {"Horn in F 1",   "Hn.",        "4 Hörner",  "HÖRNER",           "Corno I",
                              "Corni",         "Cors en fa", "Trumpet 2", "Tromba",           "Trombe",
                              "Trompete in B", "Trompettes", "Trombone",  "Bassposaune",      "Posaunen",
                              "Tromboni",      "Tuba",       "Basstuba",  "Cornet à pistons", "Flügelhorn"})
        CHECK(brass + (": " + under(brass, "f")) == brass + std::string(": under the brass"));
    for (const char* other : {"English Horn", "Englischhorn", "Cor anglais", "Corno inglese", "Basset Horn",
                              "Corno di bassetto", "Cor de basset", "Viola", "Fagott"})
        CHECK(other + (": " + under(other, "f")) == other + std::string(": "));
    CHECK(under("X", "f",
                "<score-instrument id=\"I1\"><instrument-name>x</instrument-name><instrument-sound>"
                "brass.trombone.tenor</instrument-sound></score-instrument>") == "under the brass");
    CHECK(under("Horn", "mf") == "");
    CHECK(under("Horn", "p") == "exposed, with Horn");
    CHECK(exposure(score_of({{"Clarinet", {tune}}, {"Horn", {dynamic("ff") + notes("B3", 8)}}}), 0, 0, 4)
              .weight == 0.5);
}

TEST_CASE("brass covers where it sounds for half of the time", "[score]")
{
    const Score score = score_of(
        {{"Clarinet", {tune, tune}}, {"Horn", {dynamic("f") + notes("B3 B3 - -"), notes("B3 - - -")}}});
    CHECK(said(score, 0, 0.0, 4.0) == "under the brass");
    CHECK(said(score, 0, 4.0, 8.0) == "");
}

TEST_CASE("eight parts at f cover, seven do not", "[score]")
{
    const auto tutti = [](int others) {
        std::vector<PartText> parts{{"Clarinet", {tune}}};
        for (int i = 0; i < others; ++i)
            parts.push_back({"Violin " + std::to_string(i + 1), {dynamic("f") + notes("B3", 8)}});
        return said(score_of(parts));
    };
    CHECK(tutti(8) == "under the tutti");
    CHECK(tutti(7) == "");
}

TEST_CASE("a unison with a high wind is one above A5, held together", "[score]")
{
    const auto unison = [](const std::string& name, const std::string& own, const std::string& other) {
        const ScoreView view(score_of({{"Clarinet", {own}}, {name, {other}}}));
        return view.unison_with_high_wind(0, 0.0, 4.0);
    };
    const std::string high = notes("B5 A5 G5 F5"), low = notes("A5 A5 G5 F5");
    CHECK(unison("Flute", high, high));
    CHECK(unison("Oboe", high, notes("B5", 8))); // not its rhythm, but its pitch
    CHECK(unison("Clarinet in E♭", high, high));
    CHECK_FALSE(unison("Clarinet in B♭", high, high));
    CHECK_FALSE(unison("Violin", high, high));
    CHECK_FALSE(unison("Flute", low, low));
    CHECK_FALSE(unison("Flute", high, notes("B6 A6 G6 F6"))); // octaves are kinder
    const Score score = score_of({{"Clarinet", {high}}, {"Flute 1", {high}}, {"Oboe 1", {high}}});
    CHECK(ScoreView(score).high_winds_in_unison(0, 0.0, 4.0) ==
          std::vector<std::string>{"Flute 1", "Oboe 1"});
    CHECK(said(score) == "doubled by Flute 1 and Oboe 1");
    CHECK(ScoreView(score).high_winds_in_unison(0, 1.0, 4.0).empty()); // from the A5 on
}

TEST_CASE("many names are counted, few are named", "[score]")
{
    CHECK(exposure_words({Exposure::doubled, {"A", "B", "C"}, 0.7}) == "doubled by A, B and C");
    CHECK(exposure_words({Exposure::doubled, {"A", "B", "C", "D"}, 0.7}) == "doubled by A, B and 2 more");
}

TEST_CASE("one player's two parts: each change and its seconds", "[score][chairs]")
{
    // 60 quarters a minute: a rest of 4 + 2 quarters is 6 s.
    const Score score = score_of({{"Clarinet 1 in B♭", {tune, rest, rest, tune}},
                                  {"Clarinet 1 in A", {rest, rest, notes("- - C5 D5"), rest}},
                                  {"Clarinet 2 in B♭", {tune, tune, tune, tune}}});
    const auto changes = chair_changes(score);
    REQUIRE(changes.size() == 2);
    CHECK(changes[0].from_part == 0);
    CHECK(changes[0].to_part == 1);
    CHECK(changes[0].from_bar == "1");
    CHECK(changes[0].to_bar == "3");
    CHECK(changes[0].from == "the clarinet in B♭");
    CHECK(changes[0].to == "the clarinet in A");
    CHECK(changes[0].seconds == Approx(6.0));
    CHECK_FALSE(changes[0].overlaps);
    CHECK(changes[0].wanted.safe_from_s == 8.0); // 8 to 10 s; common practice, no source
    CHECK(changes[0].wanted.shared_mouthpiece_s > 0.0);
    CHECK(changes[1].to_bar == "4");
    CHECK(changes[1].seconds == Approx(0.0).margin(1e-9));
    CHECK_FALSE(changes[1].overlaps);
}

TEST_CASE("names that say one player, and names that do not", "[score][chairs]")
{
    const auto chair = [](const std::string& one, const std::string& other) {
        return !chair_changes(score_of({{one, {tune, rest, tune}}, {other, {rest, tune, rest}}})).empty();
    };
    CHECK(chair("Clarinet 1 in B♭", "Clarinet 1 in A"));
    CHECK(chair("Clarinet in B♭ 1", "Clarinet in A 1"));
    CHECK(chair("B♭ Clarinet 2", "A Clarinet 2"));
    CHECK(chair("Kl. 1 (B)", "Kl. 1 (A)"));
    CHECK(chair("1. Klarinette in B", "1. Klarinette in A"));
    CHECK(chair("Clarinetto I in Sib", "Clarinetto I in La"));
    CHECK(chair("Clarinette 1re en si♭", "Clarinette 1re en la"));
    CHECK(chair("Clarinet 2", "Bass Clarinet (2nd)"));
    CHECK(chair("Clarinet 2 in A", "Bassklarinette (2. Klarinette)"));
    CHECK(chair("Clarinet 2 (doubling bass)", "Bass Clarinet"));
    CHECK(chair("Clarinet 1", "E♭ Clarinet (Cl. 1)"));

    CHECK_FALSE(chair("Clarinet 1 in B♭", "Clarinet 2 in A"));
    CHECK_FALSE(chair("Clarinet in B♭", "Clarinet in A"));        // no number
    CHECK_FALSE(chair("Clarinet 1", "Bass Clarinet 1"));          // the first of the basses
    CHECK_FALSE(chair("Clarinet 2", "Bass Clarinet (2)"));        // or the second of them
    CHECK_FALSE(chair("B♭ Clarinet 1", "E♭ Clarinet 1"));         // a wind band has both
    CHECK_FALSE(chair("Clarinets 1.2 in B♭", "Clarinet 1 in A")); // two players
    CHECK_FALSE(chair("2 Klarinetten in B", "2 Klarinetten in A"));
    CHECK_FALSE(chair("Clarinet 2", "Bass Clarinet"));
    CHECK_FALSE(chair("Clarinet 2", "Bass Clarinet (2 copies)"));
    CHECK_FALSE(chair("Flute 1", "Clarinet 1 in A"));
    CHECK_FALSE(chair("Clarinet 1", "Clarinet 1")); // the same instrument: nothing to change
}

TEST_CASE("a doubled bass clarinet needs one doubler and one bass clarinet", "[score][chairs]")
{
    CHECK(chair_changes(score_of({{"Clarinet 1 (doubling bass)", {tune, rest, rest}},
                                  {"Clarinet 2 (doubling bass)", {tune, rest, rest}},
                                  {"Bass Clarinet", {rest, tune, rest}}}))
              .empty());
    const auto changes = chair_changes(score_of({{"Clarinet 1", {tune, tune, tune}},
                                                 {"Clarinet 2 (doubling bass)", {tune, rest, rest}},
                                                 {"Bass Clarinet", {rest, rest, tune}}}));
    REQUIRE(changes.size() == 1);
    CHECK(changes[0].from_part == 1);
    CHECK(changes[0].to_part == 2);
    CHECK(changes[0].seconds == Approx(4.0));
    CHECK(changes[0].wanted.safe_from_s == 11.0); // 3 s more for strap or peg; common practice, no source
}

TEST_CASE("two parts that sound at once cannot be one player", "[score][chairs]")
{
    const auto once = chair_changes(score_of({{"Clarinet 1 in B♭", {notes("C5", 8), rest, rest}},
                                              {"Clarinet 1 in A", {notes("- - - E5"), rest, tune}}}));
    REQUIRE(once.size() == 1);
    CHECK(once[0].overlaps);
    CHECK(once[0].seconds == Approx(-1.0));
    CHECK(once[0].from_bar == "1");

    // All the time: said once.
    const auto always = chair_changes(score_of(
        {{"Clarinet 1 in B♭", {tune, tune, tune, rest}}, {"Clarinet 1 in A", {tune, tune, tune, tune}}}));
    REQUIRE(always.size() == 1);
    CHECK(always[0].overlaps);
    CHECK(always[0].to_bar == "1");
}

TEST_CASE("written-out repeats change instrument each time", "[score][chairs]")
{
    const std::string back = "<barline location=\"right\"><repeat direction=\"backward\"/></barline>";
    const auto changes = chair_changes(score_of(
        {{"Clarinet 1 in B♭", {tune, rest + back}}, {"Clarinet 1 in A", {rest, notes("C5 D5 - -") + back}}}));
    REQUIRE(changes.size() == 3); // to A, back at the repeat, to A
    CHECK(changes[1].from_bar == "2");
    CHECK(changes[1].to_bar == "1");
    CHECK(changes[1].seconds == Approx(2.0));
}

TEST_CASE("the Brahms movement opens with two clarinets over bassoons, and has them doubled later",
          "[score][reference]")
{
    // Hauptstimme corpus, CC0 score: Brahms op. 90, second movement. Read off the score's notes: in bar 1
    // only clarinets and bassoons sound, p; the horns join on the last beat of bar 2; bars 40 to 42 are
    // clarinets in unison, bassoons an octave below, over pp strings; from bar 28 the horns are f.
    const auto file = shared_score("brahms-op90-2.mxl");
    if (!std::filesystem::exists(file)) {
        WARN("skipped, no reference files");
        return;
    }
    const Score score = read_score(file);
    REQUIRE(clarinet_parts(score) == std::vector<std::size_t>{4, 5});
    const ScoreView view(score);
    CHECK(exposure_words(in_bar(view, score, 4, "1")) == "exposed, with Bb Clarinet 2 and Bassoon");
    CHECK(exposure_words(in_bar(view, score, 4, "2")) == "exposed, with Bb Clarinet 2, Bassoon and C Horn");
    CHECK(exposure_words(in_bar(view, score, 4, "41")) ==
          "doubled by Bb Clarinet 2, Bassoon 1 and Bassoon 2");
    CHECK(exposure_words(in_bar(view, score, 4, "28")) == "under the brass");
    CHECK(in_bar(view, score, 4, "134").kind == Exposure::among); // a last chord doubles nobody
    CHECK(chair_changes(score).empty());                          // "Bb Clarinet 1" and "Bb Clarinet 2"
}

TEST_CASE("the trio of Beethoven's eighth is a clarinet solo over horns, cello and bass",
          "[score][reference]")
{
    // Hauptstimme corpus, CC0 score: Beethoven op. 93, third movement. That the trio's solo is a clarinet's,
    // with horns and cellos, is common knowledge of the trade; bars read off the score's notes.
    const auto file = shared_score("beethoven-op93-3.mxl");
    if (!std::filesystem::exists(file)) {
        WARN("skipped, no reference files");
        return;
    }
    const Score score = read_score(file);
    REQUIRE(clarinet_parts(score) == std::vector<std::size_t>{4, 5});
    const ScoreView view(score);
    for (const char* bar : {"52", "55", "56"})
        CHECK(exposure_words(in_bar(view, score, 4, bar)) ==
              "exposed, with F Horn, Violoncello and Contrabass");
    CHECK(in_bar(view, score, 4, "53").kind == Exposure::exposed); // one horn rests
    CHECK(exposure_words(in_bar(view, score, 4, "13")) == "under the brass");

    // The same music as MIDI through another reader: the clarinets are the same parts by their program.
    const auto midi = shared_score("beethoven-op93-3.verovio.mid");
    if (std::filesystem::exists(midi))
        CHECK(clarinet_parts(read_score(midi)) == std::vector<std::size_t>{4, 5});
}
