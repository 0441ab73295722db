// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/read_musicxml.h"
#include "engine/line/line.h"
#include "engine/telling/names.h"

#include <catch2/catch.hpp>

#include <chrono>
#include <string>
#include <vector>

using namespace canebrake;

// From the file to plain notes. What an element means is MusicXML 4.0 (W3C Community Group Final Report,
// 2021) unless a test says otherwise.
namespace
{

/// Pitch as "C5", "F#4", "Bb3"; a quarter is 12 divisions; `more` is what stands in notations.
std::string note(const std::string& pitch, int divisions, const std::string& more = "",
                 const std::string& type = "", const std::string& tuplet = "", const std::string& ties = "")
{
    const std::string alter = pitch.size() < 3 ? "" : pitch[1] == '#' ? "1" : "-1";
    return "<note><pitch><step>" + pitch.substr(0, 1) + "</step>" +
           (alter.empty() ? "" : "<alter>" + alter + "</alter>") + "<octave>" + pitch.back() +
           "</octave></pitch><duration>" + std::to_string(divisions) + "</duration>" + ties +
           "<voice>1</voice>" + (type.empty() ? "" : "<type>" + type + "</type>") + tuplet +
           (more.empty() ? "" : "<notations>" + more + "</notations>") + "</note>";
}
std::string grace(const std::string& pitch, const std::string& attributes = "")
{
    return "<note><grace " + attributes + "/><pitch><step>" + pitch.substr(0, 1) + "</step><octave>" +
           pitch.back() + "</octave></pitch><voice>1</voice><type>eighth</type></note>";
}
std::string ornaments(const std::string& inner)
{
    return "<ornaments>" + inner + "</ornaments>";
}
std::string technical(const std::string& inner)
{
    return "<technical>" + inner + "</technical>";
}
std::string words(const std::string& text)
{
    return "<direction><direction-type><words>" + text + "</words></direction-type></direction>";
}
std::string accidental(const std::string& name, const std::string& attributes = "")
{
    return "<accidental-mark" + attributes + ">" + name + "</accidental-mark>";
}
std::string score_of(const std::vector<std::string>& bars, int fifths = 0)
{
    std::string text = "<?xml version=\"1.0\" encoding=\"UTF-8\"?><score-partwise version=\"4.0\"><part-list>"
                       "<score-part id=\"P1\"><part-name>Reed</part-name></score-part></part-list>"
                       "<part id=\"P1\">";
    for (std::size_t i = 0; i < bars.size(); ++i)
        text += "<measure number=\"" + std::to_string(i + 1) + "\">" +
                (i > 0 ? ""
                       : "<attributes><divisions>12</divisions><key><fifths>" + std::to_string(fifths) +
                             "</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time>"
                             "</attributes><sound tempo=\"60\"/>") +
                bars[i] + "</measure>";
    return text + "</part></score-partwise>";
}
Line read(const std::vector<std::string>& bars, int fifths = 0)
{
    return read_musicxml(score_of(bars, fifths), "line.musicxml").parts.at(0);
}
Line played(const std::vector<std::string>& bars, int fifths = 0)
{
    Line line = read(bars, fifths);
    place_grace_notes(line);
    write_out_ornaments(line);
    for (std::size_t i = 1; i < line.notes.size(); ++i)
        CHECK(line.notes[i - 1].start_quarter + line.notes[i - 1].length_quarters <=
              line.notes[i].start_quarter + 1e-9);
    return line;
}
std::string spelled(const Line& line)
{
    std::string text;
    for (const Note& n : line.notes) {
        text += text.empty() ? "" : " ";
        text += "CDEFGAB"[n.printed_step];
        text += std::string(std::size_t(std::abs(n.printed_alter)), n.printed_alter < 0 ? 'b' : '#');
    }
    return text;
}
/// One letter a note: f fluttered, d double-tongued, . neither.
std::string tongues(const Line& line)
{
    std::string text;
    for (const Note& n : line.notes)
        text += n.articulations & art_flutter ? 'f' : n.articulations & art_double_tongue ? 'd' : '.';
    return text;
}
Ornament first_ornament(const std::string& inner, const std::string& pitch = "C5", int fifths = 0)
{
    return read({note(pitch, 48, ornaments(inner))}, fifths).notes.at(0).ornaments.at(0);
}

const std::string trill = "<trill-mark/>";

} // namespace

TEST_CASE("a trill's attributes say where it begins, how it closes and whether it quickens",
          "[musicxml][ornaments]")
{
    const Ornament bare = first_ornament(trill);
    CHECK_FALSE(bare.start);
    CHECK_FALSE(bare.closing_turn);
    CHECK_FALSE(bare.accelerate);
    CHECK(bare.beats == 0);
    const Ornament full = first_ornament("<trill-mark start-note=\"upper\" trill-step=\"half\" "
                                         "two-note-turn=\"whole\" accelerate=\"yes\" beats=\"8\"/>");
    CHECK(full.start == OrnamentStart::upper);
    CHECK(full.semitones == 1);
    CHECK(full.closing_turn);
    CHECK(full.semitones_below == 2);
    CHECK(full.accelerate);
    CHECK(full.beats == 8);
    CHECK(first_ornament("<trill-mark start-note=\"below\"/>").start == OrnamentStart::below);
    CHECK(first_ornament("<trill-mark start-note=\"main\"/>").start == OrnamentStart::main);
    CHECK(first_ornament("<trill-mark two-note-turn=\"half\"/>", "D5").semitones_below == 1);
    CHECK_FALSE(first_ornament("<trill-mark two-note-turn=\"none\"/>").closing_turn);
    CHECK(first_ornament("<trill-mark beats=\"1e99\"/>").beats <= 999); // nonsense is survived
    CHECK(spelled(played({note("C5", 12,
                               ornaments("<trill-mark start-note=\"upper\" "
                                         "two-note-turn=\"half\"/>"))})) == "D C D C D C D C B C");
}

TEST_CASE("the printed accidental goes before the trill-step attribute, and that before the key",
          "[musicxml][ornaments]")
{
    const auto step = [](const std::string& inner, const std::string& pitch, int fifths = 0) {
        return first_ornament(inner, pitch, fifths).semitones;
    };
    CHECK(step(trill, "E5") == 1);
    CHECK(step(trill, "E5", 1) == 2);
    CHECK(step("<trill-mark trill-step=\"whole\"/>", "E5") == 2);
    CHECK(step("<trill-mark trill-step=\"whole\"/>" + accidental("natural"), "E5", 1) == 1);
    CHECK(step(trill + accidental("flat"), "C5") == 1);
    CHECK(step(trill + accidental("sharp"), "C5") == 3);
    CHECK(step(trill + accidental("natural"), "E5", 1) == 1);
    CHECK(step(trill + accidental("double-sharp"), "A#4") == 3); // to B double sharp
    CHECK(step(trill + accidental("flat-flat"), "Ab4") == 1);    // to B double flat
    CHECK(step("<mordent/>" + accidental("sharp", " placement=\"below\""), "G5") == 1);
    CHECK(step("<inverted-mordent/>" + accidental("flat"), "G5") == 1);
    // an accidental beside the ornaments, in the same notations
    CHECK(read({note("A4", 48, ornaments(trill) + accidental("flat"))}).notes[0].ornaments[0].semitones == 1);
    // each ornament has its own accidentals
    const Line two =
        read({note("A4", 48, ornaments(trill + accidental("flat") + "<mordent/>" + accidental("sharp")))});
    REQUIRE(two.notes[0].ornaments.size() == 2);
    CHECK(two.notes[0].ornaments[0].semitones == 1);
    CHECK(two.notes[0].ornaments[1].semitones == 1);
    const Ornament turn = first_ornament("<turn/>" + accidental("flat", " placement=\"above\"") +
                                             accidental("sharp", " placement=\"below\""),
                                         "A4");
    CHECK(turn.semitones == 1);
    CHECK(turn.semitones_below == 1);
    CHECK(spelled(played({note("A4", 12,
                               ornaments("<turn/>" + accidental("flat") +
                                         accidental("sharp", " placement=\"below\"")))})) == "Bb A G# A");
}

TEST_CASE("turns stand at the beginning of their note or are delayed to its end", "[musicxml][ornaments]")
{
    CHECK_FALSE(first_ornament("<turn/>").delayed);
    CHECK(first_ornament("<delayed-turn/>").delayed);
    CHECK(first_ornament("<delayed-inverted-turn/>").kind == OrnamentKind::inverted_turn);
    CHECK(first_ornament("<delayed-inverted-turn/>").delayed);
    CHECK(first_ornament("<vertical-turn/>").kind == OrnamentKind::turn);
    CHECK(spelled(played({note("C5", 24, ornaments("<turn/>"))})) == "D C B C");
    CHECK(spelled(played({note("C5", 24, ornaments("<delayed-turn/>"))})) == "C D C B C");
    CHECK(spelled(played({note("C5", 24, ornaments("<inverted-turn/>"))})) == "B C D C");
    CHECK(spelled(played({note("C5", 24, ornaments("<mordent long=\"yes\"/>"))})) == "C B C B C");
}

TEST_CASE("a wavy line is a trill without the letters, each note with its own neighbour",
          "[musicxml][ornaments]")
{
    const Line line = read({note("C5", 12, ornaments("<wavy-line type=\"start\"/>")) + note("E5", 12) +
                            note("D5", 12, ornaments("<wavy-line type=\"stop\"/>")) + note("C5", 12)});
    REQUIRE(line.notes.size() == 4);
    CHECK(line.notes[0].ornaments.at(0).semitones == 2);
    CHECK(line.notes[1].ornaments.at(0).semitones == 1); // E to F
    CHECK(line.notes[2].ornaments.at(0).semitones == 2);
    CHECK(line.notes[3].ornaments.empty());
    const Line one = read(
        {note("E5", 24,
              ornaments("<wavy-line type=\"start\"/>" + accidental("sharp") + "<wavy-line type=\"stop\"/>")) +
         note("E5", 24)});
    CHECK(one.notes[0].ornaments.at(0).semitones == 2);
    CHECK(one.notes[1].ornaments.empty());
}

TEST_CASE("a trill tied over the bar line is one trill", "[musicxml][ornaments]")
{
    const std::string start = "<tie type=\"start\"/>", stop = "<tie type=\"stop\"/>";
    const Line line = read(
        {note("C5", 48, "<tied type=\"start\"/>" + ornaments(trill + "<wavy-line type=\"start\"/>"), "whole",
              "", start),
         note("C5", 24, "<tied type=\"stop\"/>" + ornaments("<wavy-line type=\"stop\"/>"), "half", "", stop) +
             note("D5", 24)});
    REQUIRE(line.notes.size() == 2);
    CHECK(line.notes[0].length_quarters == 6.0);
    CHECK(line.notes[0].ornaments.size() == 1);
    CHECK(line.notes[1].ornaments.empty());
    // written again after the bar line, it is still one
    const Line again =
        played({note("C5", 48, "<tied type=\"start\"/>" + ornaments(trill), "whole", "", start),
                note("C5", 24, "<tied type=\"stop\"/>" + ornaments(trill), "half", "", stop)});
    CHECK(again.notes.size() == 55); // 6 s
    CHECK(again.notes.back().figure->group == 0);
}

// Common practice, no source: two small notes below and back after a trill are its closing turn.
TEST_CASE("small notes after a trill close it, others lean on the next note", "[musicxml][ornaments]")
{
    const std::string trilled = note("C5", 24, ornaments(trill));
    const Line closed = played({trilled + grace("B4") + grace("C5") + note("D5", 24)});
    CHECK(spelled(closed).ends_with("C D C B C D"));
    CHECK(closed.notes.back().start_quarter == 2.0); // on its beat
    for (std::size_t i = 0; i + 2 < closed.notes.size(); ++i)
        CHECK(closed.notes[i].slurred_to_next);
    const Line bar_line =
        played({note("C5", 48, ornaments(trill)), grace("B4") + grace("C5") + note("D5", 48)});
    CHECK(bar_line.notes.back().start_quarter == 4.0);
    const Line others = played({trilled + grace("E5") + note("D5", 24)});
    CHECK(others.notes.back().start_quarter > 2.0);
    const Line slashed =
        played({trilled + grace("B4", "slash=\"yes\"") + grace("C5", "slash=\"yes\"") + note("D5", 24)});
    CHECK(slashed.notes.back().start_quarter > 2.0);
    const Line plain_before = played({note("C5", 24) + grace("B4") + grace("C5") + note("D5", 24)});
    CHECK(plain_before.notes.back().start_quarter > 2.0);
}

TEST_CASE("a grace note before a trill comes first, and the trill has what is left", "[musicxml][ornaments]")
{
    const Line line = played({grace("D5", "slash=\"yes\"") + note("C5", 12, ornaments(trill))});
    CHECK(spelled(line).starts_with("D C D C"));
    CHECK_FALSE(line.notes[0].figure);
    CHECK(line.notes[1].start_quarter == Approx(0.07));
    CHECK(line.notes[1].figure);
    const Line from_above = played(
        {grace("D5", "slash=\"yes\"") + note("C5", 12, ornaments("<trill-mark start-note=\"upper\"/>"))});
    CHECK(spelled(from_above).starts_with("D C D C"));
}

TEST_CASE("strokes through the stem are counted from the printed shape", "[musicxml][ornaments]")
{
    const auto single = [](int strokes) {
        return ornaments("<tremolo type=\"single\">" + std::to_string(strokes) + "</tremolo>");
    };
    const auto ratio = [](int actual, int normal) {
        return "<time-modification><actual-notes>" + std::to_string(actual) +
               "</actual-notes><normal-notes>" + std::to_string(normal) +
               "</normal-notes></time-modification>";
    };
    CHECK(played({note("C5", 12, single(1), "quarter")}).notes.size() == 2);
    CHECK(played({note("C5", 24, single(2), "half")}).notes.size() == 8);
    CHECK(played({note("C5", 4, single(1), "eighth", ratio(3, 2))}).notes.size() == 2);
    CHECK(played({note("C5", 8, single(1), "quarter", ratio(3, 2))}).notes.size() == 2);
    const Line after_grace = played({grace("D5", "slash=\"yes\"") + note("C5", 12, single(2), "quarter")});
    CHECK(after_grace.notes.size() == 5); // a grace note and four sixteenths, not eight thirty-seconds
    // Two notes: each is printed with the value of both, in 2:1, and sounds half of it.
    const auto pair = [&](const std::string& type, int divisions, int strokes) {
        const auto half_of = [&](const std::string& pitch, const std::string& end) {
            return note(pitch, divisions,
                        ornaments("<tremolo type=\"" + end + "\">" + std::to_string(strokes) + "</tremolo>"),
                        type, ratio(2, 1));
        };
        return half_of("A4", "start") + half_of("C5", "stop");
    };
    CHECK(played({pair("half", 12, 2)}).notes.size() == 8);
    const Line eighths = played({pair("whole", 24, 1)});
    CHECK(spelled(eighths) == "A C A C A C A C");
    CHECK(eighths.notes[1].figure->role == 1);
    CHECK(played({pair("half", 12, 0)}).notes.size() == 24);
}

TEST_CASE("an unmeasured tremolo on one note is flutter-tongue", "[musicxml][ornaments]")
{
    const Line line =
        played({note("C5", 12, ornaments("<tremolo type=\"unmeasured\">0</tremolo>")) + note("C5", 12)});
    CHECK(tongues(line) == "f.");
}

// The words are common practice, no source.
TEST_CASE("flutter-tongue holds from its word to the one that ends it", "[musicxml][ornaments]")
{
    const std::string c = note("C5", 12);
    for (const std::string on :
         {"flutter", "flutter-tongue", "Flz.", "flatterz.", "frull.", "con frullato", "p, fluttertongued"})
        for (const std::string off : {"ord.", "norm.", "nat.", "ordinario", "(ord.)", "senza frull."}) {
            CAPTURE(on, off);
            CHECK(tongues(read({c + words(on) + c + c + words(off) + c})) == ".ff.");
        }
    // over bar lines, and through ornaments
    CHECK(tongues(read({c + words("flz.") + c + c + c, c + c + words("ord.") + c + c})) == ".fffff..");
    CHECK(tongues(read({words("dolce") + c + c + c + c})) == "....");
    // Where the first note has strokes, the strokes say which notes; they are not tongued one by one.
    const std::string struck = note("C5", 12, ornaments("<tremolo type=\"single\">3</tremolo>"));
    const Line line = read({words("flz.") + struck + c + struck + c});
    CHECK(tongues(line) == "f.f.");
    CHECK(line.notes[0].ornaments.empty());
    CHECK(played({words("flz.") + struck + c}).notes.size() == 2);
    CHECK(tongues(read({words("flz.") + c + struck + c + c})) == "ffff");
    // a word in another voice's stretch of the bar stands where it stands
    CHECK(tongues(read({c + c + c + c + "<backup><duration>24</duration></backup>" + words("flz.") +
                        "<forward><duration>24</duration></forward>"})) == "..ff");
    CHECK(tongues(read({note("C5", 12, technical("<other-technical>flz.</other-technical>")) + c})) == "f.");
}

TEST_CASE("double tonguing is asked for note by note", "[musicxml][ornaments]")
{
    CHECK(tongues(read({note("C5", 12, technical("<double-tongue/>")) + note("C5", 12) +
                        note("C5", 12, technical("<triple-tongue/>"))})) == "d.d");
    const Line line = played(
        {note("C5", 12, technical("<double-tongue/>") + ornaments("<tremolo type=\"single\">2</tremolo>"),
              "quarter")});
    CHECK(tongues(line) == "dddd");
}

TEST_CASE("several fingerings are read as one, substitutes and alternates count only alone",
          "[musicxml][ornaments]")
{
    const auto fingering = [](const std::string& inner) {
        return read({note("C4", 48, technical(inner))}).notes.at(0).fingering;
    };
    CHECK(fingering("<fingering>R</fingering>") == "R");
    CHECK(fingering("<fingering>T</fingering><fingering> L1 </fingering><fingering/>"
                    "<fingering>R1</fingering>") == "T L1 R1");
    CHECK(fingering("<fingering>L</fingering><fingering substitution=\"yes\">R</fingering>") == "L");
    CHECK(fingering("<fingering alternate=\"yes\">side</fingering><fingering>sliver</fingering>") ==
          "sliver");
    CHECK(fingering("<fingering alternate=\"yes\">side</fingering>") == "side");
    CHECK(fingering("<fingering substitution=\"no\">L</fingering>") == "L");
    CHECK(
        read({note("C4", 48, technical("<fingering>T</fingering>") + technical("<fingering>L1</fingering>"))})
            .notes.at(0)
            .fingering == "T L1");
}

TEST_CASE("a glissando sounds the notes between, a slide is drawn late", "[musicxml][ornaments]")
{
    const auto line_to = [](const std::string& name, const std::string& end) {
        return "<" + name + " type=\"" + end + "\"/>";
    };
    for (const std::string name : {"glissando", "slide"}) {
        const Line line =
            played({note("C5", 24, line_to(name, "start")) + note("E5", 24, line_to(name, "stop"))});
        CHECK(spelled(line) == "C C# D D# E");
        CHECK(line.notes[0].figure->kind ==
              (name == "slide" ? OrnamentKind::slide : OrnamentKind::glissando));
        CHECK(line.notes[1].start_quarter == Approx(name == "slide" ? 1.5 : 1.0));
        CHECK(line.notes[3].slurred_to_next);
        CHECK_FALSE(line.notes[4].figure);
    }
    const Line down =
        read({note("C5", 12, line_to("slide", "start")) + note("F4", 36, line_to("slide", "stop"))});
    CHECK(down.notes[0].ornaments.at(0).letters == -4);
}

TEST_CASE("ornaments that a clarinet has no way to read are counted in a remark", "[musicxml][ornaments]")
{
    const Line line =
        read({note("C5", 12, ornaments("<schleifer/>")) + note("C5", 36, ornaments("<haydn/>"))});
    CHECK(line.notes[0].ornaments.empty());
    REQUIRE(line.remarks.size() == 1);
}

TEST_CASE("ten thousand trilled notes are read and written out within a second", "[musicxml][ornaments]")
{
    std::vector<std::string> bars;
    for (int i = 0; i < 2500; ++i)
        bars.push_back(note("C5", 12, ornaments(trill)) + note("D5", 12, ornaments(trill)) + grace("C5") +
                       grace("D5") + note("E5", 12, ornaments(trill)) + note("F5", 12, ornaments(trill)));
    const std::string text = score_of(bars);
    const auto begin = std::chrono::steady_clock::now();
    Line line = read_musicxml(text, "line.musicxml").parts.at(0);
    place_grace_notes(line);
    write_out_ornaments(line);
    const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - begin;
    CHECK(taken.count() < 1.0);
    CHECK(line.notes.size() > 80000);
    CHECK(line.notes.back().figure->group == 9999);
}
