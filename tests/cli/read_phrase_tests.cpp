// SPDX-License-Identifier: MIT
#include "engine/files/phrase/read_phrase.h"
#include "models/units/input_error.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <sstream>

using namespace canebrake;

namespace
{

Line phrase(const std::string& text)
{
    const Score score = read_phrase(text);
    REQUIRE(score.parts.size() == 1);
    return score.parts[0];
}

/// The error text of a phrase that is refused, and a check that it is one line blamed on the caller's words.
std::string refusal(const std::string& text)
{
    try {
        read_phrase(text);
    } catch (const InputError& error) {
        CHECK(error.fault() == Fault::usage);
        CHECK(std::string(error.what()).find('\n') == std::string::npos);
        return error.what();
    }
    return "accepted";
}

struct Placed {
    double start, length;
    int number;
    bool slurred;
    friend bool operator==(const Placed&, const Placed&) = default;
    friend std::ostream& operator<<(std::ostream& out, const Placed& p)
    {
        return out << p.start << "+" << p.length << " " << p.number << (p.slurred ? "_" : "");
    }
};
std::vector<Placed> placed(const Line& line)
{
    std::vector<Placed> all;
    for (const Note& note : line.notes)
        all.push_back({note.start_quarter, note.length_quarters, note.printed, note.slurred_to_next});
    return all;
}

} // namespace

TEST_CASE(
    "a phrase is read word by word: lengths hold, slurs join, marks and dynamics stand where they are typed",
    "[phrase]")
{
    const Line line = phrase("tempo 96 mf 1/8 E4_G4_B4_C5 grow 1/4 D5 stacc A4 f B4 rest");
    CHECK(line.part_id == "phrase");
    CHECK(placed(line) == std::vector<Placed>{{0.0, 0.5, 64, true},
                                              {0.5, 0.5, 67, true},
                                              {1.0, 0.5, 71, true},
                                              {1.5, 0.5, 72, false},
                                              {2.0, 1.0, 74, false},
                                              {3.0, 1.0, 69, false},
                                              {4.0, 1.0, 71, false}});
    CHECK(line.notes[4].articulations == art_none);
    CHECK(line.notes[5].articulations == art_staccato);
    CHECK(line.notes[6].articulations == art_none);
    REQUIRE(line.tempo.size() == 1);
    CHECK(line.tempo[0].quarters_per_minute == 96.0);
    REQUIRE(line.dynamics.size() == 3);
    CHECK(line.dynamics[0].level == 4.0);
    CHECK_FALSE(line.dynamics[0].ramp);
    CHECK(line.dynamics[1].quarter == 2.0);
    CHECK(line.dynamics[1].level == 4.0);
    CHECK(line.dynamics[1].ramp);
    CHECK(line.dynamics[2].quarter == 4.0);
    CHECK(line.dynamics[2].level == 5.0);
    CHECK(line.end_quarter == 6.0);
    REQUIRE(line.bars.size() == 2);
    CHECK(line.notes[6].source.bar == "2");
    CHECK(line.notes[6].source.bar_index == 1);
    CHECK(line.notes[5].source.beat == 4.0);
    CHECK(line.notes[0].source.id == "char 17");
    CHECK(line.notes[6].source.id == "char 52");
    CHECK_FALSE(line.written_known);
    CHECK(line.notes[0].sounding.number == 64.0);
}

TEST_CASE("a bare pitch is a quarter at a hundred with no dynamics said", "[phrase]")
{
    const Line line = phrase("C5");
    CHECK(placed(line) == std::vector<Placed>{{0.0, 1.0, 72, false}});
    CHECK(line.tempo[0].quarters_per_minute == 100.0);
    CHECK(line.dynamics.empty());
    CHECK(line.remarks.empty());
    CHECK(line.bars.size() == 1);
}

TEST_CASE("pitches keep their spelling", "[phrase]")
{
    const Line line = phrase("F#4 Gb4 F##4 Abb4 b3 bb3 Cb5 B#4");
    const std::vector<std::array<int, 3>> wanted{{66, 3, 1}, {66, 4, -1}, {67, 3, 2},  {67, 5, -2},
                                                 {59, 6, 0}, {58, 6, -1}, {71, 0, -1}, {72, 6, 1}};
    REQUIRE(line.notes.size() == wanted.size());
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        const Note& note = line.notes[i];
        CHECK(std::array{note.printed, note.printed_step, note.printed_alter} == wanted[i]);
    }
}

TEST_CASE("lengths are fractions of a whole note and may be added", "[phrase]")
{
    CHECK(placed(phrase("1/4+1/16 C5 1/1 D5 3/8 E5")) ==
          std::vector<Placed>{{0.0, 1.25, 72, false}, {1.25, 4.0, 74, false}, {5.25, 1.5, 76, false}});
    // Thirds, fifths and sevenths of a quarter come back to the beat exactly.
    for (const auto& [tuplet, count] :
         {std::pair{"1/12", 3}, {"1/20", 5}, {"1/28", 7}, {"1/24", 6}, {"1/36", 9}}) {
        std::string text(tuplet);
        for (int i = 0; i < count; ++i)
            text += " C5";
        const Line line = phrase(text + " 1/4 D5");
        CHECK(line.notes.back().start_quarter == 1.0);
    }
}

TEST_CASE("a slur goes on across words, and the same pitch joined is a tie", "[phrase]")
{
    const std::vector<Placed> wanted{{0.0, 0.5, 64, true}, {0.5, 0.5, 67, true}, {1.0, 1.0, 72, false}};
    CHECK(placed(phrase("1/8 E4_G4_ 1/4 C5")) == wanted);
    CHECK(placed(phrase("1/8 E4_G4 1/4 _C5")) == wanted);
    CHECK(placed(phrase("1/8 E4_G4 _ 1/4 C5")) == wanted);
    CHECK(placed(phrase("1/8 E4 _ G4_ f 1/4 C5")) == wanted);
    CHECK(placed(phrase("1/2 C5_ 1/8 C5_D5 D5")) ==
          std::vector<Placed>{{0.0, 2.5, 72, true}, {2.5, 0.5, 74, false}, {3.0, 0.5, 74, false}});
    CHECK(placed(phrase("C5_C5_C5")) == std::vector<Placed>{{0.0, 3.0, 72, false}});
}

TEST_CASE("each mark goes on the next note only", "[phrase]")
{
    const std::vector<std::pair<std::string, int>> marks{
        {"stacc", art_staccato},  {"ten", art_tenuto},    {"accent", art_accent},
        {"marcato", art_marcato}, {"hold", art_fermata},  {"detached", art_detached_legato},
        {"sfz", art_sforzando},   {"fp", art_forte_piano}};
    for (const auto& [word, bit] : marks) {
        const Line line = phrase("C5 " + word + " D5_E5");
        CHECK(line.notes[0].articulations == art_none);
        CHECK(line.notes[1].articulations == bit);
        CHECK(line.notes[2].articulations == art_none);
    }
    CHECK(phrase("accent ten C5").notes[0].articulations == (art_accent | art_tenuto));
    CHECK(phrase("C5 breath D5").notes[0].articulations == art_breath_after);
    const Line line = phrase("f C5 fp D5");
    CHECK(line.dynamics.back().quarter == 1.0);
    CHECK(line.dynamics.back().level == 2.0); // fp goes on at p
}

TEST_CASE("grace notes take no time and trills say how far", "[phrase]")
{
    const Line line = phrase("grace D5_C5 trill half E5 trill F5 trill whole G5");
    CHECK(placed(line) == std::vector<Placed>{{0.0, 0.0, 74, true},
                                              {0.0, 1.0, 72, false},
                                              {1.0, 1.0, 76, false},
                                              {2.0, 1.0, 77, false},
                                              {3.0, 1.0, 79, false}});
    CHECK(line.notes[0].grace);
    CHECK(line.notes[0].grace_slashed);
    CHECK_FALSE(line.notes[1].grace);
    REQUIRE(line.notes[2].ornaments.size() == 1);
    CHECK(line.notes[2].ornaments[0].kind == OrnamentKind::trill);
    CHECK(line.notes[2].ornaments[0].semitones == 1);
    CHECK(line.notes[3].ornaments[0].semitones == 2);
    CHECK(line.notes[4].ornaments[0].semitones == 2);
}

TEST_CASE("dynamics are rungs of the ladder", "[phrase]")
{
    const std::vector<std::string> ladder{"niente", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"};
    for (std::size_t i = 0; i < ladder.size(); ++i)
        CHECK(phrase(ladder[i] + " C5").dynamics.at(0).level == double(i) - 1.0);
}

TEST_CASE("hairpins lead to the next dynamic, or one step", "[phrase]")
{
    const auto levels = [](const std::string& text) {
        std::vector<std::array<double, 3>> all;
        for (const DynamicPoint& point : phrase(text).dynamics)
            all.push_back({point.quarter, point.level, double(point.ramp)});
        return all;
    };
    using Levels = std::vector<std::array<double, 3>>;
    CHECK(levels("p grow C5 D5 ff E5") == Levels{{0, 2, 1}, {2, 6, 0}});
    CHECK(levels("p grow C5 D5") == Levels{{0, 2, 1}, {2, 3, 0}});
    CHECK(levels("p C5 grow D5 fade E5 p F5") == Levels{{0, 2, 0}, {1, 2, 1}, {2, 3, 1}, {3, 2, 0}});
    CHECK(levels("f fade C5 niente") == Levels{{0, 5, 1}, {1, -1, 0}});
    CHECK(levels("f grow C5 p D5") == Levels{{0, 5, 1}, {1, 6, 0}, {1, 2, 0}}); // suddenly soft
    CHECK(levels("ppp fade C5") == Levels{{0, 0, 1}, {1, 0, 0}});
    CHECK(levels("grow C5") == Levels{{0, 4, 1}, {1, 5, 0}});
    CHECK(phrase("grow C5").remarks ==
          std::vector<std::string>{"no dynamic before the first grow or fade: started from mf"});
    CHECK(levels("p f C5") == Levels{{0, 5, 0}}); // the word typed last
}

TEST_CASE("bars follow the meter, and bar checks them", "[phrase]")
{
    const Line line = phrase("meter 3/4 1/2 C5 1/4 D5 bar meter 6/8 1/8 E5 F5 G5 A5 G5 F5 bar 3/4 E5");
    REQUIRE(line.bars.size() == 3);
    CHECK(line.bars[0].length_quarters == 3.0);
    CHECK(line.bars[1].beats == 6);
    CHECK(line.bars[1].beat_type == 8);
    CHECK(line.bars[2].start_quarter == 6.0);
    CHECK(line.notes[4].source.bar == "2");
    CHECK(line.notes[4].source.beat == 3.0); // in eighths
    CHECK(line.notes[8].source.bar_index == 2);

    const Line pick_up = phrase("1/4 G4 bar 1/1 C5 bar D5");
    REQUIRE(pick_up.bars.size() == 3);
    CHECK(pick_up.bars[0].number == "0");
    CHECK(pick_up.bars[0].length_quarters == 1.0);
    CHECK(pick_up.notes[1].source.bar == "1");
    CHECK(pick_up.notes[2].source.bar == "2");
    CHECK(phrase("1/1+1/1 C5 D5").notes[1].source.bar == "3"); // a note over a bar line
}

TEST_CASE("tempo may change on the way", "[phrase]")
{
    const Line line = phrase("C5 tempo 60 D5 tempo 72.5 tempo 80 E5");
    REQUIRE(line.tempo.size() == 3);
    CHECK(line.tempo[0].quarters_per_minute == 100.0);
    CHECK(line.tempo[1].quarter == 1.0);
    CHECK(line.tempo[1].quarters_per_minute == 60.0);
    CHECK(line.tempo[2].quarters_per_minute == 80.0);
}

TEST_CASE("what is mistyped is pointed at, with the nearest word", "[phrase][words]")
{
    const std::string wanted = "wanted a pitch such as C5, a fraction such as 1/8, or a word (rest, grow, …)";
    CHECK(refusal("") == "phrase: found no notes, wanted at least one pitch such as C5");
    CHECK(refusal("mf rest") == "phrase: found no notes, wanted at least one pitch such as C5");
    CHECK(refusal("1/8 E4_G4 C5 D5 H4") == "phrase, character 17: found 'H4', " + wanted);
    CHECK(refusal("C5 stac D5") == "phrase, character 4: found 'stac', " + wanted + "; perhaps 'stacc'");
    CHECK(refusal("C5 Rset") == "phrase, character 4: found 'Rset', " + wanted + "; perhaps 'rest'");
    CHECK(refusal("C5\n♯♯ x") == "phrase, character 4: found '♯♯', " + wanted); // characters, not bytes
    CHECK(refusal("1/0 C5") == "phrase, character 1: found '1/0', " + wanted);
    CHECK(refusal("C-1") == "phrase, character 1: found 'C-1', " + wanted); // - is kept for ranges
    CHECK(refusal("C5_rest") ==
          "phrase, character 4: found 'rest', wanted a pitch such as C5 on both sides of _");
    CHECK(refusal("_C5") ==
          "phrase, character 1: found '_C5', wanted one _ between two notes that follow each other");
    CHECK(refusal("C5__D5") ==
          "phrase, character 4: found '_D5', wanted one _ between two notes that follow each other");
    CHECK(refusal("C5_ rest") == "phrase, character 3: found '_', wanted a note after it, not a rest");
    CHECK(refusal("C5_") ==
          "phrase, character 3: found '_', wanted a note after it, not the end of the phrase");
    CHECK(refusal("C5 stacc") ==
          "phrase, character 4: found 'stacc', wanted a note after it, not the end of the phrase");
    CHECK(refusal("C5 trill rest D5") ==
          "phrase, character 4: found 'trill', wanted a note after it, not a rest");
    CHECK(refusal("C5 grace D5") == "phrase: found a grace note at the end, wanted a note after it");
    CHECK(refusal("breath C5") == "phrase, character 1: found 'breath', wanted breath right after a note");
    CHECK(refusal("C5 tempo") ==
          "phrase, character 4: found 'tempo', wanted a number such as 96 after tempo");
    CHECK(refusal("tempo fast C5") ==
          "phrase, character 7: found 'fast', wanted quarters a minute from 10 to 400 after tempo");
    CHECK(refusal("meter 3/5 C5") ==
          "phrase, character 7: found '3/5', wanted a time signature such as 3/4 after meter");
    CHECK(refusal("C5 meter 3/4 D5") ==
          "phrase, character 4: found 'meter', wanted a new meter at a bar line; bar 1 is not full");
    CHECK(refusal("1/1 C5 bar 1/4 D5 bar") ==
          "phrase, character 19: found 'bar', wanted a full bar before it; bar 2 has 1 of 4 quarters");
}

TEST_CASE("mordents and turns say which way, how far and when", "[phrase][ornaments]")
{
    const auto ornament = [](const std::string& text) { return phrase(text).notes.at(0).ornaments.at(0); };
    CHECK(ornament("mordent C5").kind == OrnamentKind::mordent);
    CHECK(ornament("mordent C5").semitones == 1);
    CHECK(ornament("mordent whole C5").semitones == 2);
    CHECK(ornament("mordent up C5").kind == OrnamentKind::inverted_mordent);
    CHECK(ornament("mordent up C5").semitones == 2);
    CHECK(ornament("mordent up half C5").semitones == 1);
    CHECK(ornament("mordent half up C5").kind == OrnamentKind::inverted_mordent);
    CHECK(ornament("turn C5").kind == OrnamentKind::turn);
    CHECK_FALSE(ornament("turn C5").delayed);
    CHECK(ornament("turn late half C5").delayed);
    CHECK(ornament("turn late half C5").semitones == 1);
    CHECK(ornament("turn C5").semitones == 2);
    CHECK(ornament("turn C5").semitones_below == 1);
    CHECK(phrase("trill mordent C5").notes[0].ornaments.size() == 2);
    CHECK(phrase("C5 mordent D5 E5").notes[2].ornaments.empty());
}

TEST_CASE("repeated and rocking notes", "[phrase][ornaments]")
{
    const Line line = phrase("1/2 tremolo C5 rock A4 C5_ E5");
    CHECK(placed(line) ==
          std::vector<Placed>{{0.0, 2.0, 72, false}, {2.0, 2.0, 69, true}, {4.0, 2.0, 76, false}});
    CHECK(line.notes[0].ornaments.at(0).kind == OrnamentKind::tremolo);
    CHECK(line.notes[0].ornaments[0].strokes == 0); // as fast as it goes
    CHECK(line.notes[1].ornaments.at(0).kind == OrnamentKind::two_note_tremolo);
    CHECK(line.notes[1].ornaments[0].semitones == 3);
    CHECK(line.notes[1].ornaments[0].letters == 2);
    CHECK(placed(phrase("rock A4 C5_E5_F5")) ==
          std::vector<Placed>{{0.0, 1.0, 69, true}, {1.0, 1.0, 76, true}, {2.0, 1.0, 77, false}});
    CHECK(phrase("rock C5 A#4").notes[0].ornaments[0].semitones == -2);
    CHECK(phrase("rock C5 A#4").notes[0].ornaments[0].letters == -2);
    CHECK(phrase("C5_ rock C5 D5").notes.size() == 2); // a slur, not a tie
    CHECK(phrase("C5_ rock C5 D5").notes[0].slurred_to_next);
    CHECK(phrase("accent rock C5 D5").notes[0].articulations == art_accent);
}

TEST_CASE("gliss and slide lead from one note to the next", "[phrase][ornaments]")
{
    const Line line = phrase("gliss C5 G5 slide A5_D5 E5");
    CHECK(line.notes[0].ornaments.at(0).kind == OrnamentKind::glissando);
    CHECK(line.notes[0].ornaments[0].semitones == 7);
    CHECK(line.notes[0].ornaments[0].letters == 4);
    CHECK(line.notes[1].ornaments.empty());
    CHECK(line.notes[2].ornaments.at(0).kind == OrnamentKind::slide);
    CHECK(line.notes[2].ornaments[0].semitones == -7);
    CHECK(line.notes[3].ornaments.empty());
    const Line chain = phrase("gliss C5 gliss E5 C5");
    CHECK(chain.notes[0].ornaments.at(0).semitones == 4);
    CHECK(chain.notes[1].ornaments.at(0).semitones == -4);
    Line written = phrase("1/2 gliss C5 E5");
    write_out_ornaments(written);
    CHECK(placed(written).size() == 5);
}

TEST_CASE("flutter-tongue, double tongue and fingerings are for the next note", "[phrase][ornaments]")
{
    const Line line = phrase("flutter C5 double D5 E5");
    CHECK(line.notes[0].articulations == art_flutter);
    CHECK(line.notes[1].articulations == art_double_tongue);
    CHECK(line.notes[2].articulations == art_none);
    const auto fingering = [](const std::string& word) {
        return phrase("by " + word + " C5").notes.at(0).fingering;
    };
    CHECK(fingering("T+L1+R1") == "T L1 R1");
    CHECK(fingering("R+T+L1+L2+L3+R1+R2+R3+E:l") == "R T L1 L2 L3 R1 R2 R3 E:l");
    for (const std::string word : {"sliver", "side", "fork", "L", "R", "long", "one-and-one", "resonance"})
        CHECK(fingering(word) == word);
    CHECK(phrase("by side D#4 C5").notes[1].fingering.empty());
    CHECK(phrase("A4_ by resonance A4").notes.size() == 2); // fingered anew, so no tie
}

TEST_CASE("what is wrong with an ornament is pointed at", "[phrase][words][ornaments]")
{
    const std::string fingering = "wanted a fingering after by: keys such as T+L1+R1, or sliver, side, fork, "
                                  "long, one-and-one, resonance, L or R";
    CHECK(refusal("C5 by C5") == "phrase, character 7: found 'C5', " + fingering);
    CHECK(refusal("C5 by T+Q9 D5") == "phrase, character 7: found 'T+Q9', " + fingering);
    CHECK(refusal("by T+ D5") == "phrase, character 4: found 'T+', " + fingering);
    CHECK(refusal("by slivr D5") == "phrase, character 4: found 'slivr', " + fingering);
    CHECK(refusal("C5 by") == "phrase, character 4: found 'by', " + fingering);
    CHECK(refusal("C5 by side") ==
          "phrase, character 4: found 'by', wanted a note after it, not the end of the phrase");
    CHECK(refusal("rock A4") ==
          "phrase, character 1: found 'rock', wanted two pitches such as A4 C5 after rock");
    CHECK(refusal("rock A4 rest") ==
          "phrase, character 9: found 'rest', wanted two pitches such as A4 C5 after rock");
    CHECK(refusal("rock A4 A4") ==
          "phrase, character 9: found 'A4', wanted two different pitches after rock");
    CHECK(refusal("gliss C5") ==
          "phrase, character 1: found 'gliss', wanted two notes after it, not the end of the phrase");
    CHECK(refusal("slide C5 rest D5") ==
          "phrase, character 1: found 'slide', wanted two notes after it, not a rest");
    CHECK(refusal("gliss C5 C5") ==
          "phrase, character 10: found 'C5', wanted another pitch than C5 to run to");
    CHECK(refusal("slide C5 breath D5") ==
          "phrase, character 10: found 'breath', wanted no breath inside a slur");
    CHECK(refusal("turn rest") == "phrase, character 1: found 'turn', wanted a note after it, not a rest");
    CHECK(refusal("C5 morden D5").ends_with("; perhaps 'mordent'"));
    CHECK(refusal("C5 fluter D5").ends_with("; perhaps 'flutter'"));
    CHECK(refusal("C5 glis D5").ends_with("; perhaps 'gliss'"));
}

TEST_CASE("no jumble of words crashes the reader", "[phrase][safety]")
{
    const std::vector<std::string> words{
        "C5",    "E4_G4", "_",     "D5_",   "_F5",      "rest",    "grow",   "fade", "mf",       "niente",
        "fp",    "stacc", "grace", "trill", "half",     "bar",     "breath", "hold", "tempo",    "60",
        "rock",  "gliss", "slide", "turn",  "mordent",  "tremolo", "by",     "T+L1", "side",     "flutter",
        "meter", "3/4",   "1/8",   "1/12",  "1/4+1/16", "H4",      "C5_C5",  "ppp",  "\xE2\x99", "C5#"};
    constexpr std::uint32_t seed = 7;
    INFO("seed " << seed);
    std::mt19937 random(seed);
    int read = 0;
    for (int i = 0; i < 3000; ++i) {
        std::string text;
        for (std::uint32_t n = 1 + random() % 6; n > 0; --n) {
            text += words[random() % words.size()];
            text += random() % 8 ? " " : "";
        }
        try {
            const Line line = phrase(text);
            ++read;
            for (std::size_t k = 1; k < line.notes.size(); ++k)
                REQUIRE(line.notes[k].start_quarter >=
                        line.notes[k - 1].start_quarter + line.notes[k - 1].length_quarters - 1e-9);
            for (std::size_t k = 1; k < line.dynamics.size(); ++k)
                REQUIRE(line.dynamics[k].quarter >= line.dynamics[k - 1].quarter);
        } catch (const InputError&) {
        }
    }
    CHECK(read > 50);
}

TEST_CASE("the grammar fits eighty columns and its example can be typed", "[phrase][words]")
{
    std::istringstream lines(phrase_grammar());
    std::string line, example;
    while (std::getline(lines, line)) {
        CHECK(line.size() <= 80);
        if (line.starts_with("  tempo"))
            example = line;
    }
    CHECK(phrase(example).notes.size() == 7);
}

TEST_CASE("every example phrase of ours is read", "[phrase]")
{
    const auto folder = std::filesystem::path(CANEBRAKE_SOURCE_DIR) / "assets/phrases";
    int count = 0;
    for (const auto& file : std::filesystem::directory_iterator(folder)) {
        if (file.path().extension() != ".txt")
            continue;
        INFO(file.path().filename().string());
        std::ifstream in(file.path());
        const std::string text{std::istreambuf_iterator<char>(in), {}};
        const Line line = phrase(text);
        for (const Note& note :
             line.notes) { // written range of every soprano: from E3; comfortable top about G6
            CHECK(note.printed >= 52);
            CHECK(note.printed <= 91);
        }
        ++count;
    }
    CHECK(count >= 6);
}
