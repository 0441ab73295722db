// SPDX-License-Identifier: MIT
#include "engine/files/midi/read_midi.h"
#include "engine/files/musicxml/read_musicxml.h"
#include "engine/files/phrase/read_phrase.h"
#include "engine/files/read.h"
#include "engine/files/writing/write_musicxml.h"
#include "engine/part/pitch_basis.h"
#include "tests/support/midi_bytes.h"

#include <catch2/catch.hpp>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <pugixml.hpp>
#include <sstream>
#include <unistd.h>
#include <utility>

using namespace canebrake;
namespace fs = std::filesystem;

namespace
{

fs::path shared_folder()
{
    const char* folder = std::getenv("CANEBRAKE_SHARED");
    return folder ? fs::path(folder) : fs::path(__FILE__).parent_path() / "../../../shared";
}

/// What the schema of MusicXML 4.0 (W3C, github.com/w3c/musicxml, tag v4.0, schema/musicxml.xsd) says against
/// the text; empty: nothing.
std::string schema_complaint(const std::string& xml)
{
    const fs::path schema = shared_folder() / "musicxml-4.0";
    static const bool there =
        fs::exists(schema / "musicxml.xsd") && std::system("command -v xmllint >/dev/null 2>&1") == 0;
    if (!there) {
        static bool said = false;
        if (!std::exchange(said, true))
            WARN("schema check skipped, no reference files or no xmllint");
        return "";
    }
    const std::string file =
        (fs::temp_directory_path() / ("canebrake-write-" + std::to_string(::getpid()))).string();
    std::ofstream(file + ".musicxml", std::ios::binary) << xml;
    const int code = std::system(
        ("XML_CATALOG_FILES='" + (schema / "catalog.xml").string() + "' xmllint --nonet --noout --schema '" +
         (schema / "musicxml.xsd").string() + "' '" + file + ".musicxml' 2> '" + file + ".txt'")
            .c_str());
    std::stringstream text;
    text << std::ifstream(file + ".txt").rdbuf();
    fs::remove(file + ".musicxml");
    fs::remove(file + ".txt");
    return code == 0 ? "" : text.str().substr(0, 2000);
}

std::string describe(const Ornament& o)
{
    std::ostringstream out;
    const bool run = o.kind == OrnamentKind::glissando || o.kind == OrnamentKind::slide ||
                     o.kind == OrnamentKind::two_note_tremolo;
    const bool tremolo = o.kind == OrnamentKind::tremolo || o.kind == OrnamentKind::two_note_tremolo;
    const bool turn = o.kind == OrnamentKind::turn || o.kind == OrnamentKind::inverted_turn;
    out << " o" << int(o.kind);
    if (o.kind != OrnamentKind::tremolo)
        out << " by " << o.semitones;
    if (turn || o.closing_turn)
        out << "/" << o.semitones_below;
    if (tremolo) // 0 strokes, "as fast as it goes", are printed as three
        out << " strokes " << (o.strokes == 0 ? 3 : o.strokes);
    if (run)
        out << " letters " << o.letters.value_or(-99);
    if (o.start)
        out << " start " << int(*o.start);
    out << (o.delayed ? " late" : "") << (o.closing_turn ? " closed" : "")
        << (o.accelerate ? " quickens" : "") << (o.extended ? " long" : "");
    if (o.beats > 0)
        out << " beats " << o.beats;
    return out.str();
}

std::string describe(const Note& note)
{
    std::ostringstream out;
    out << std::round(note.start_quarter * 1e5) / 1e5 << "+" << std::round(note.length_quarters * 1e5) / 1e5
        << " " << note.printed << " step " << note.printed_step << " alter " << note.printed_alter
        << " sounds " << note.sounding.number << (note.slurred_to_next ? " _" : "") << " marks "
        << note.articulations << (note.grace ? " grace" : "") << (note.grace_slashed ? "/" : "")
        << (note.grace_after ? ">" : "");
    if (!note.fingering.empty())
        out << " by " << note.fingering;
    for (const Ornament& o : note.ornaments)
        out << describe(o);
    return out.str();
}

std::vector<std::string> described(const Line& line)
{
    std::vector<std::string> all;
    for (const Note& note : line.notes)
        all.push_back(describe(note));
    for (const DynamicPoint& p : line.dynamics) {
        std::ostringstream out;
        out << "level " << std::round(p.quarter * 1e5) / 1e5 << ": " << p.level << (p.ramp ? " ramp" : "");
        all.push_back(out.str());
    }
    for (const TempoPoint& p : line.tempo) {
        std::ostringstream out;
        out << "tempo " << std::round(p.quarter * 1e5) / 1e5 << ": " << p.quarters_per_minute
            << (p.ramp ? " ramp" : "");
        all.push_back(out.str());
    }
    for (const Bar& bar : line.bars) {
        std::ostringstream out;
        out << "bar " << bar.number << " at " << std::round(bar.start_quarter * 1e5) / 1e5 << "+"
            << std::round(bar.length_quarters * 1e5) / 1e5 << " " << bar.beats << "/" << bar.beat_type << " "
            << bar.rehearsal;
        all.push_back(out.str());
    }
    return all;
}

Line typed(const std::string& text, int transposition = -2)
{
    Line line = read_phrase(text).parts[0];
    set_pitch_basis(line, PitchBasis::written, transposition);
    return line;
}

PartLayout plain_layout(int transposition = -2)
{
    PartLayout layout;
    layout.title = "Two Herons";
    layout.part_name = "Clarinet in B♭";
    layout.sound_id = "wind.reed.clarinet.bflat";
    layout.midi_program = 71;
    layout.transposition = transposition;
    return layout;
}

std::string written(const Line& line, const PartLayout& layout)
{
    std::vector<std::string> remarks;
    const std::string xml = write_musicxml(line, layout, remarks);
    for (const std::string& remark : remarks)
        UNSCOPED_INFO(remark);
    return xml;
}

/// Valid, and the same line when it is read again.
void check_round_trip(const Line& line, const PartLayout& layout)
{
    std::vector<std::string> remarks;
    const std::string xml = write_musicxml(line, layout, remarks);
    CHECK(remarks == std::vector<std::string>{});
    CHECK(schema_complaint(xml) == "");
    const Score score = read_musicxml(xml, "written");
    REQUIRE(score.parts.size() == 1);
    const std::vector<std::string> before = described(line), after = described(score.parts[0]);
    std::size_t shown = 0;
    for (std::size_t i = 0; i < std::max(before.size(), after.size()) && shown < 12; ++i) {
        const std::string a = i < before.size() ? before[i] : "nothing";
        const std::string b = i < after.size() ? after[i] : "nothing";
        shown += a != b;
        CHECK(b == a);
    }
    for (std::size_t i = 0; i < layout.keys.size(); ++i) {
        REQUIRE(i < score.parts[0].keys.size());
        CHECK(score.parts[0].keys[i].quarter == Approx(layout.keys[i].quarter).margin(1e-6));
        CHECK(score.parts[0].keys[i].fifths == layout.keys[i].fifths);
    }
    CHECK(score.title == layout.title);
    CHECK(score.parts[0].part_name == layout.part_name);
    CHECK(score.parts[0].instrument_sound == layout.sound_id);
}

} // namespace

TEST_CASE("a typed phrase comes back from its page as the same line", "[write]")
{
    const std::string phrase = GENERATE(
        as<std::string>{}, "C5", "tempo 96 mf 1/8 E4_G4_B4_C5 grow 1/4 D5 stacc A4 f B4 rest",
        "meter 3/4 1/4 C5 bar 1/2 D5 1/4 E5 3/4 F5 1/1 G5 5/16 A5 rest 7/8 B5",
        "1/12 C5 D5 E5 1/6 F5 1/12 G5 1/20 A4 B4 C5 D5 E5 1/28 F5 G5 A5 B5 C6 D6 E6",
        "1/24 C5 D5 E5 F5 G5 A5 1/6 C5 D5 E5 1/3 F5 1/6 G5 1/12 rest A5 rest 1/4 rest",
        "meter 6/8 1/8 C5 D5 E5 3/8 F5 1/4 G5 1/8 A5 3/16 B5 1/16 C6 1/8 D6 3/4 E6",
        "meter 5/8 1/8 C5 D5 1/4 E5 1/8 F5 5/8 G5 meter 7/8 7/8 A5 meter 2/2 1/2 B5 1/1 C6 1/2 D6",
        "1/4 stacc C5 ten D5 accent E5 marcato F5 detached G5 hold A5 flutter B5 double C6 sfz D6 fp E6 F6",
        "p 1/4 C5 grow D5 E5 f F5 fade G5 A5 niente B5 rest niente grow C5 D5 ff E5",
        "ppp 1/4 C5 grow D5 fade E5 grow F5 p G5 pp A5 fff B5 mp C5", "1/4 C5 grow D5 E5",
        "tempo 60 1/2 C5 tempo 132.5 D5 tempo 72 1/8 E5 F5 G5 A5",
        "1/4 trill C5 trill half D5 trill whole E5 mordent F5 mordent whole G5 mordent up A5 mordent up half "
        "B5",
        "1/4 turn C5 turn late half D5 turn half E5 tremolo F5 gliss G5 C6 slide D6 G5",
        "1/2 rock A4 C5_E5 1/4 rock C5 Eb5 3/4 rock E4 G#4 1/1 rock F4 A4",
        "grace D5 1/4 C5 grace F#5 1/8 E5_G5_ grace A5 1/4 G5 breath rest C5",
        "1/4 by T+L1+R1 C5 by long Bb5 by R B4 C5", "1/8 C#5 C5 Cb5 C##5 Dbb5 D5 Db5 D#5 1/4 F#5 F#6 F5",
        "1/8 C5 bar 1/4 D5 E5 F5 G5 bar 1/1 A5", "1/4+1/64 C5 1/64 D5 1/32 E5 rest 1/128 F5 rest 1/16 G5",
        "1/4 C5_D5_E5 F5_G5 1/1+1/1+1/2 A5_B5 C5_D5", "1/10 C5 D5 E5 F5 G5 1/36 C5 D5 E5 F5 G5 A5 B5 C6 D6");
    INFO(phrase);
    const int fifths = GENERATE(0, 3, -4);
    PartLayout layout = plain_layout();
    layout.fifths = fifths;
    check_round_trip(typed(phrase), layout);
}

TEST_CASE("parts of real scores come back from their pages as the same lines", "[write][reference]")
{
    // Scores: Hauptstimme corpus and MusicXML test suite, see their SOURCES.md.
    const fs::path scores = shared_folder() / "scores";
    if (!fs::exists(scores)) {
        WARN("skipped, no reference files");
        return;
    }
    int lines = 0;
    for (const char* name : {"beethoven-op93-3.mxl", "brahms-op90-2.mxl", "suite-24d-AfterGrace.xml",
                             "suite-72c-TransposingInstruments-Change.xml"}) {
        const Score score = read_score(scores / name);
        for (const Line& line : score.parts) {
            if (line.notes.empty())
                continue;
            INFO(name << " " << line.part_id << " " << line.part_name);
            PartLayout layout;
            layout.title = score.title;
            layout.part_name = line.part_name;
            layout.sound_id = line.instrument_sound;
            layout.midi_program = line.midi_program;
            layout.keys = line.keys;
            layout.transposition = int(std::lround(line.notes[0].sounding.number - line.notes[0].printed));
            check_round_trip(line, layout);
            ++lines;
        }
    }
    CHECK(lines > 20);
}

TEST_CASE("a score's MIDI file is written with every note where it begins", "[write][reference]")
{
    // L. van Beethoven, Symphony no. 8, third movement: Hauptstimme corpus, CC0; its MIDI file was made by an
    // independent reader.
    const fs::path midi = shared_folder() / "scores" / "beethoven-op93-3.verovio.mid";
    if (!fs::exists(midi)) {
        WARN("skipped, no reference files");
        return;
    }
    for (const Line& line : read_score(midi).parts) {
        INFO(line.part_name);
        PartLayout layout = plain_layout(0);
        const std::string xml = written(line, layout);
        CHECK(schema_complaint(xml) == "");
        const Line back = read_musicxml(xml, "written").parts[0];
        REQUIRE(back.notes.size() == line.notes.size());
        std::size_t same = 0;
        for (std::size_t i = 0; i < line.notes.size(); ++i)
            // Notes behind grace notes begin late in the file, by 1/120 of a quarter: they lose that.
            same += std::abs(back.notes[i].start_quarter - line.notes[i].start_quarter) < 0.009 &&
                    back.notes[i].sounding == line.notes[i].sounding &&
                    back.notes[i].printed_step == line.notes[i].printed_step;
        CHECK(same == line.notes.size());
    }
}

TEST_CASE("a line played by hand is put on a grid that a player can read, and says so", "[write]")
{
    using namespace canebrake::test;
    // Quarters, eighths and a triplet at 480 ticks, each up to 25 ticks early or late and let go a little
    // before the next.
    const std::vector<int> meant{0, 480, 720, 960, 1120, 1280, 1440, 1920, 2160, 2400, 2640, 2880, 3360};
    const std::vector<int> off{3, -20, 14, 8, -9, 11, 25, -4, 17, -22, 6, 12, -15};
    std::string messages;
    int at = 0;
    for (std::size_t i = 0; i < meant.size(); ++i) {
        const int on = meant[i] + off[i];
        const int next = i + 1 < meant.size() ? meant[i + 1] + off[i + 1] : on + 480;
        messages += message(std::uint32_t(on - at), {0x90, 60 + int(i % 5), 80});
        messages += message(std::uint32_t((next - on) * 8 / 10), {0x80, 60 + int(i % 5), 0});
        at = on + (next - on) * 8 / 10;
    }
    const Line line = read_midi(header(0, 1, 480) + track(messages), "played").parts[0];
    std::vector<std::string> remarks;
    const std::string xml = write_musicxml(line, plain_layout(0), remarks);
    CHECK(schema_complaint(xml) == "");
    const Line back = read_musicxml(xml, "written").parts[0];
    REQUIRE(back.notes.size() == meant.size());
    for (std::size_t i = 0; i < meant.size(); ++i) {
        CHECK(back.notes[i].start_quarter == Approx(meant[i] / 480.0).margin(1e-6));
        if (i + 1 < meant.size())
            CHECK(back.notes[i].length_quarters == Approx((meant[i + 1] - meant[i]) / 480.0).margin(1e-6));
    }
    REQUIRE(remarks.size() >= 2);
    CHECK(remarks[0].find("13 of 13 notes begin beside the grid") == 0);
    CHECK(remarks[1].find("12 notes let go before the next") == 0);
}

TEST_CASE("noise of a MIDI line never becomes a page that is not valid", "[write]")
{
    using namespace canebrake::test;
    std::uint32_t state = GENERATE(1u, 2u, 3u, 4u, 5u, 6u);
    INFO("seed " << state);
    const auto random = [&](int below) {
        state = state * 1664525u + 1013904223u;
        return int((state >> 8) % std::uint32_t(below));
    };
    std::string messages;
    for (int i = 0; i < 80; ++i) {
        const int key = 40 + random(50);
        messages += message(std::uint32_t(random(3) == 0 ? 0 : random(700)), {0x90, key, 1 + random(126)});
        messages += message(std::uint32_t(1 + random(900)), {0x80, key, 0});
    }
    const Line line = read_midi(header(0, 1, 480) + track(messages), "noise").parts[0];
    const std::string xml = written(line, plain_layout(0));
    CHECK(schema_complaint(xml) == "");
    const Line back = read_musicxml(xml, "written").parts[0];
    REQUIRE(back.notes.size() == line.notes.size());
    for (std::size_t i = 0; i < line.notes.size(); ++i) {
        CHECK(back.notes[i].sounding == line.notes[i].sounding);
        CHECK(back.notes[i].start_quarter == Approx(line.notes[i].start_quarter).margin(0.3));
    }
}

TEST_CASE("a transposition is written as instruments transpose", "[write]")
{
    // Sounding from written, any orchestration handbook: a major second, a minor third, a major ninth, a
    // major sixth down, a minor third up.
    const auto [semitones, diatonic, chromatic, octaves] =
        GENERATE(table<int, std::string, std::string, std::string>({{-2, "-1", "-2", ""},
                                                                    {-3, "-2", "-3", ""},
                                                                    {-14, "-1", "-2", "-1"},
                                                                    {-9, "-5", "-9", ""},
                                                                    {3, "2", "3", ""},
                                                                    {0, "0", "0", ""}}));
    const std::string xml = written(typed("C5", semitones), plain_layout(semitones));
    pugi::xml_document document;
    REQUIRE(document.load_string(xml.c_str()));
    const auto transpose = document.select_node("//transpose").node();
    CHECK(transpose.child_value("diatonic") == diatonic);
    CHECK(transpose.child_value("chromatic") == chromatic);
    CHECK(transpose.child_value("octave-change") == octaves);
    CHECK(read_musicxml(xml, "written").parts[0].notes[0].sounding.number == 72 + semitones);
}

TEST_CASE("accidentals stand where key and bar ask for them, once a bar", "[write]")
{
    PartLayout layout = plain_layout();
    layout.fifths = 1;
    layout.keys = {{4.0, -1}};
    const std::string xml =
        written(typed("1/4 F#5 F5 F5 F#5 1/8 F5 Bb5 B5 B5 1/2 Bb5_ bar Bb5 1/4 Bb5 B5"), layout);
    pugi::xml_document document;
    REQUIRE(document.load_string(xml.c_str()));
    std::string seen;
    for (const auto note : document.select_nodes("//note[pitch]"))
        seen +=
            std::string(note.node().child("accidental") ? note.node().child_value("accidental") : "-") + " ";
    CHECK(seen == "- natural - sharp - - natural - flat - - natural ");
    CHECK(document.select_nodes("//key").size() == 2);
}

TEST_CASE("values show the beat, tuplets are bracketed and beams follow the beat", "[write]")
{
    const auto shown = [](const std::string& phrase) {
        pugi::xml_document document;
        REQUIRE(document.load_string(written(typed(phrase), plain_layout()).c_str()));
        std::string all;
        pugi::xpath_node_set nodes = document.select_nodes("//measure | //note");
        nodes.sort();
        for (const auto each : nodes) {
            const pugi::xml_node node = each.node();
            if (std::string_view(node.name()) == "measure") {
                all += "| ";
                continue;
            }
            all += node.child("rest") ? "rest-" : "";
            all += node.child("type") ? node.child_value("type") : "bar";
            for (pugi::xml_node dot = node.child("dot"); dot; dot = dot.next_sibling("dot"))
                all += ".";
            if (node.child("time-modification"))
                all += std::string(":") + node.child("time-modification").child_value("actual-notes");
            const auto tuplet = node.child("notations").child("tuplet");
            all += tuplet ? (std::string_view(tuplet.attribute("type").value()) == "start" ? "[" : "]") : "";
            const std::string_view beam = node.child_value("beam");
            all += beam == "begin" ? "<" : beam == "continue" ? "=" : beam == "end" ? ">" : "";
            all += node.find_child_by_attribute("tie", "type", "start") ? "_ " : " ";
        }
        return all;
    };
    CHECK(shown("1/8 C5 1/4 D5 1/4 E5 1/4 F5 1/8 G5") == "| eighth quarter eighth_ eighth quarter eighth ");
    CHECK(shown("3/8 C5 1/8 D5 5/8 E5 3/8 F5") == "| quarter. eighth half_ | eighth quarter. rest-half ");
    CHECK(shown("1/12 C5 D5 E5 1/6 C5 1/12 D5 1/2 E5") ==
          "| eighth:3[< eighth:3= eighth:3]> quarter:3[ eighth:3] half ");
    CHECK(shown("1/20 C5 D5 E5 F5 G5 1/4 A5 1/2 B5") ==
          "| 16th:5[< 16th:5= 16th:5= 16th:5= 16th:5]> quarter half ");
    CHECK(shown("meter 6/8 1/8 C5 D5 E5 1/4 F5 1/8 G5 bar 3/4 A5 1/1 B5") ==
          "| eighth< eighth= eighth> quarter eighth | half. | half._ | quarter rest-eighth rest-quarter. ");
    CHECK(shown("meter 3/4 rest bar 3/16 C5 1/16 D5 1/8 E5 F5 1/4 rest").substr(0, 13) == "| rest-bar | ");
}

TEST_CASE("a tempo that slows as words say comes back as words, any other change in steps", "[write]")
{
    // What the reader takes "rit." for: 80 % at the end of the next bar, or where the next number stands.
    Line line = typed("1/1 C5 D5 E5 F5 G5 A5 B5 C6");
    SECTION("to a new tempo")
    {
        line.tempo = {{0.0, 120.0}, {6.0, 120.0, true}, {8.0, 96.0}, {8.0, 120.0}, {8.0, 72.0}};
        CHECK(written(line, plain_layout()).find(">rit.<") != std::string::npos);
        line.tempo = {{0.0, 120.0}, {6.0, 120.0, true}, {8.0, 96.0}, {8.0, 72.0}};
    }
    SECTION("to the end of the next bar, and back")
    {
        line.tempo = {{0.0, 120.0},  {6.0, 120.0, true},  {12.0, 96.0},
                      {12.0, 120.0}, {24.0, 120.0, true}, {32.0, 138.0}};
    }
    const Line back = read_musicxml(written(line, plain_layout()), "written").parts[0];
    const TempoMap meant(line.tempo), heard(back.tempo);
    for (double quarter = 0.0; quarter <= 32.0; quarter += 0.5)
        CHECK(heard.seconds_at(quarter) == Approx(meant.seconds_at(quarter)).margin(1e-6));
}

TEST_CASE("a long change of tempo is written in steps that keep its time", "[write]")
{
    Line line = typed("1/1 C5 D5 E5 F5 G5 A5 B5 C6");
    line.tempo = {{0.0, 60.0}, {2.5, 60.0, true}, {30.0, 140.0}};
    std::vector<std::string> remarks;
    const std::string xml = write_musicxml(line, plain_layout(), remarks);
    CHECK(remarks == std::vector<std::string>{"1 gradual changes of tempo are written in steps"});
    CHECK(schema_complaint(xml) == "");
    const Line back = read_musicxml(xml, "written").parts[0];
    const TempoMap meant(line.tempo), heard(back.tempo);
    for (double quarter = 0.0; quarter <= 32.0; quarter += 0.5)
        CHECK(heard.seconds_at(quarter) == Approx(meant.seconds_at(quarter)).margin(0.02));
    CHECK(heard.tempo_at(31.0) == Approx(140.0));
}

TEST_CASE("a part that changes its clarinet transposes anew from there", "[write]")
{
    Line line = typed("1/4 C5 D5 E5 F5");
    line.notes[2].sounding.number -= 1.0; // the A clarinet
    line.notes[3].sounding.number -= 1.0;
    line.notes[1].sounding.number += 0.5; // a quarter tone sharp is no other clarinet
    const std::string xml = written(line, plain_layout());
    CHECK(schema_complaint(xml) == "");
    CHECK(xml.find("<accidental>quarter-sharp</accidental>") != std::string::npos);
    const Line back = read_musicxml(xml, "written").parts[0];
    for (std::size_t i = 0; i < 4; ++i)
        CHECK(back.notes[i].sounding == line.notes[i].sounding);
}

TEST_CASE("a line's annotations are printed at their notes", "[write]")
{
    const Line line = typed("1/4 C5 grace D5 E5 by R B4 1/1 F5");
    PartLayout layout = plain_layout();
    const auto id = [&](std::size_t i) { return line.notes[i].source.id; };
    layout.annotations = {{id(2), Annotation::words, "keep the air <going> & \"up\" ♭"},
                          {id(2), Annotation::fingering, "T 1 2 3"},
                          {id(3), Annotation::fingering, "other"},
                          {id(4), Annotation::breath},
                          {"char 999", Annotation::words, "lost"}};
    std::vector<std::string> remarks;
    const std::string xml = write_musicxml(line, layout, remarks);
    CHECK(remarks == std::vector<std::string>{"no note 'char 999' in the line: nothing said there"});
    CHECK(schema_complaint(xml) == "");
    CHECK(xml.find("color") == std::string::npos);
    CHECK(xml.find("enclosure") == std::string::npos);
    pugi::xml_document document;
    REQUIRE(document.load_string(xml.c_str()));
    const auto words = document.select_node("//words").node();
    CHECK(std::string(words.child_value()) == "keep the air <going> & \"up\" ♭");
    const auto next = words.parent().parent().next_sibling();
    CHECK(std::string(next.child("pitch").child_value("step")) == "E");
    const Line back = read_musicxml(xml, "written").parts[0];
    CHECK(back.notes[2].fingering == "T 1 2 3");
    CHECK(back.notes[3].fingering == "R");
    CHECK(back.notes[4].articulations == art_breath_after);
    // The last of the tied notes carries it.
    const auto breath = document.select_node("//breath-mark").node();
    CHECK(breath.parent().parent().parent().find_child_by_attribute("tie", "type", "stop"));
}

TEST_CASE("lines that no reader would make are written all the same", "[write]")
{
    Line line;
    CHECK(schema_complaint(written(line, {})) == "");
    line.notes.resize(5);
    line.notes[1].start_quarter = std::nan("");
    line.notes[2].start_quarter = -3.0;
    line.notes[3].length_quarters = 1e9;
    line.notes[4].start_quarter = 2.0 / 7.0 + 0.01;
    line.notes[4].printed = 3;
    line.notes[0].grace = line.notes[0].slurred_to_next = true;
    line.notes[0].length_quarters = 0.0;
    line.bars = {{"", 1.0, 0.3, 3, 7, "A\x01&"}, {"1", 0.5, 2.0, 0, 0, ""}};
    line.dynamics = {{-1.0, 99.0, true}, {1e7, -5.0, true}};
    line.tempo = {{0.0, 100.0, true}, {3.0, 50.0, true}};
    CHECK(schema_complaint(written(line, {"\x02\xFF", "\n", "", 200, -100, 12, true, {}, {}})) == "");
}
