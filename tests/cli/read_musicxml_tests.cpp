// SPDX-License-Identifier: MIT
#include "engine/files/midi/read_midi.h"
#include "engine/files/musicxml/fraction.h"
#include "engine/files/musicxml/read_musicxml.h"
#include "models/units/input_error.h"

#include <catch2/catch.hpp>
#include <zip.h>

#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

using namespace canebrake;

namespace
{

const std::string four_four = "<attributes><divisions>12</divisions><key><fifths>0</fifths></key>"
                              "<time><beats>4</beats><beat-type>4</beat-type></time></attributes>";

/// One pitched note; `pitch` as "C5", "F#4", "Bb3"; 12 divisions are a quarter; `more` goes behind the voice,
/// `first` before the pitch.
std::string note(const std::string& pitch, int divisions, const std::string& more = "",
                 const std::string& first = "")
{
    const std::string alter = pitch.size() < 3 ? "" : pitch[1] == '#' ? "1" : "-1";
    return "<note>" + first + "<pitch><step>" + pitch.substr(0, 1) + "</step>" +
           (alter.empty() ? "" : "<alter>" + alter + "</alter>") + "<octave>" + pitch.back() +
           "</octave></pitch>" +
           (divisions > 0 ? "<duration>" + std::to_string(divisions) + "</duration>" : "") + more + "</note>";
}
/// Three references to an entity.
std::string thrice(char name)
{
    const std::string one{'&', name, ';'};
    return one + one + one;
}

std::string grace(const std::string& pitch, const std::string& attributes = "")
{
    return note(pitch, 0, "", "<grace" + (attributes.empty() ? "" : " " + attributes) + "/>");
}
std::string notations(const std::string& inner)
{
    return "<notations>" + inner + "</notations>";
}
std::string direction(const std::string& type, const std::string& sound = "")
{
    return "<direction><direction-type>" + type + "</direction-type>" + sound + "</direction>";
}
std::string dynamics(const std::string& mark)
{
    return direction("<dynamics><" + mark + "/></dynamics>");
}
std::string rest(int divisions)
{
    return "<note><rest/><duration>" + std::to_string(divisions) + "</duration></note>";
}
std::string part(const std::vector<std::string>& bars, const std::string& id = "P1")
{
    std::string text = "<part id=\"" + id + "\">";
    for (std::size_t i = 0; i < bars.size(); ++i)
        text += "<measure number=\"" + std::to_string(i + 1) + "\">" + (i == 0 ? four_four : "") + bars[i] +
                "</measure>";
    return text + "</part>";
}
std::string document(const std::string& parts)
{
    return "<?xml version=\"1.0\" encoding=\"UTF-8\"?><score-partwise version=\"4.0\"><part-list>"
           "<score-part id=\"P1\"><part-name>Reed</part-name></score-part></part-list>" +
           parts + "</score-partwise>";
}
Line read_bars(const std::vector<std::string>& bars)
{
    return read_musicxml(document(part(bars)), "line.musicxml").parts.at(0);
}
std::string bars_played(const Line& line)
{
    std::string text;
    for (const Bar& bar : line.bars)
        text += (text.empty() ? "" : " ") + bar.number;
    return text;
}
std::string order_of(std::vector<std::string> signs)
{
    for (std::string& bar : signs)
        bar += note("C5", 48);
    return bars_played(read_bars(signs));
}
std::string pitches(const Line& line)
{
    std::string text;
    for (const Note& n : line.notes) {
        text += text.empty() ? "" : " ";
        text += pitch_name(n.printed);
    }
    return text;
}
std::string error_of(const std::string& bytes, const std::string& name = "score.mxl")
{
    try {
        read_musicxml(bytes, name);
    } catch (const InputError& error) {
        CHECK(error.fault() == Fault::unreadable);
        CHECK(std::string(error.what()).find('\n') == std::string::npos);
        return error.what();
    }
    return "no error";
}

/// A zip file in memory.
std::string zipped(const std::vector<std::pair<std::string, std::string>>& files)
{
    const auto path = std::filesystem::temp_directory_path() /
                      ("canebrake-zip-" + std::to_string(std::hash<std::string>{}(files.at(0).second)) +
                       std::to_string(std::chrono::steady_clock::now().time_since_epoch().count()));
    zip_t* archive = zip_open(path.c_str(), ZIP_CREATE | ZIP_TRUNCATE, nullptr);
    REQUIRE(archive);
    for (const auto& [name, text] : files)
        zip_file_add(archive, name.c_str(), zip_source_buffer(archive, text.data(), text.size(), 0),
                     ZIP_FL_OVERWRITE);
    REQUIRE(zip_close(archive) == 0);
    std::ifstream file(path, std::ios::binary);
    std::string bytes{std::istreambuf_iterator<char>(file), {}};
    std::filesystem::remove(path);
    return bytes;
}
const std::string container_start = "<container><rootfiles>";
const std::string container_end = "</rootfiles></container>";

/// Files beside the project that are not in it; empty where there are none.
std::string reference(const std::string& name)
{
    const char* folder = std::getenv("CANEBRAKE_SHARED");
    const std::filesystem::path shared =
        folder ? folder : std::filesystem::path(__FILE__).parent_path() / "../../../shared";
    std::ifstream file(shared / "scores" / name, std::ios::binary);
    std::string bytes{std::istreambuf_iterator<char>(file), {}};
    if (bytes.empty())
        WARN("skipped, no reference files: " << name);
    return bytes;
}
const Line& part_of(const Score& score, const std::string& id)
{
    for (const Line& line : score.parts)
        if (line.part_id == id)
            return line;
    FAIL("no part " << id);
    return score.parts[0];
}

} // namespace

TEST_CASE("notes stand where their durations put them, with bar, beat and name", "[musicxml]")
{
    const Line line =
        read_bars({note("E4", 12) + rest(12) + note("G4", 24, "<voice>2</voice>"),
                   "<note id=\"n77\"><pitch><step>F</step><alter>1</alter><octave>5</octave></pitch>"
                   "<duration>48</duration></note>"});
    REQUIRE(line.notes.size() == 3);
    CHECK(line.notes[1].start_quarter == 2.0);
    CHECK(line.notes[1].length_quarters == 2.0);
    CHECK(line.notes[1].source.beat == 3.0);
    CHECK(line.notes[1].source.voice == "2");
    CHECK(line.notes[1].source.id == "P1:m1:n3");
    CHECK(line.notes[2].source.id == "n77");
    CHECK(line.notes[2].source.bar == "2");
    CHECK(line.notes[2].source.bar_index == 1);
    CHECK(line.notes[2].printed == 78);
    CHECK(line.notes[2].printed_step == 3);
    CHECK(line.notes[2].printed_alter == 1);
    CHECK(line.part_name == "Reed");
    CHECK_FALSE(line.written_known);
    CHECK(line.end_quarter == 8.0);
}

TEST_CASE("tuplets add up exactly, so a tie over 21 sevenths still meets", "[musicxml]")
{
    musicxml::Fraction sum;
    for (int i = 0; i < 21; ++i)
        sum = sum + musicxml::Fraction{1, 7};
    CHECK(sum == musicxml::Fraction{3, 1});
    std::string bar = "<attributes><divisions>7</divisions></attributes>";
    for (int i = 0; i < 20; ++i)
        bar += note("C4", 1);
    bar += note("D4", 1, "<tie type=\"start\"/>") + note("D4", 7, "<tie type=\"stop\"/>");
    const Line line = read_bars({bar});
    REQUIRE(line.notes.size() == 21);
    CHECK(line.notes[20].start_quarter == Approx(20.0 / 7.0));
    CHECK(line.notes[20].length_quarters == Approx(8.0 / 7.0));
}

TEST_CASE("lengths are taken from the printed shape where the file gives none", "[musicxml]")
{
    const Line line = read_bars({note("C4", 0, "<type>half</type><dot/>") +
                                 note("D4", 0,
                                      "<type>eighth</type><time-modification><actual-notes>3</actual-notes>"
                                      "<normal-notes>2</normal-notes></time-modification>")});
    REQUIRE(line.notes.size() == 2);
    CHECK(line.notes[0].length_quarters == 3.0);
    CHECK(line.notes[1].length_quarters == Approx(1.0 / 3.0));
}

TEST_CASE("slurs join all but their last note, nested, over ties and not over rests", "[musicxml]")
{
    const std::string start1 = notations("<slur number=\"1\" type=\"start\"/>"),
                      stop1 = notations("<slur number=\"1\" type=\"stop\"/>"),
                      start2 = notations("<slur number=\"2\" type=\"start\"/>"),
                      stop2 = notations("<slur number=\"2\" type=\"stop\"/>");
    const auto joined = [](const Line& line) {
        std::string text;
        for (const Note& n : line.notes)
            text += n.slurred_to_next ? '~' : '.';
        return text;
    };
    CHECK(joined(read_bars(
              {note("C4", 12, start1) + note("D4", 12) + note("E4", 12, stop1) + note("F4", 12)})) == "~~..");
    CHECK(joined(read_bars({note("C4", 12, start1) + note("D4", 12, start2) + note("E4", 12, stop2) +
                            note("F4", 12, stop1)})) == "~~~.");
    // one ends where the next begins
    CHECK(joined(read_bars({note("C4", 12, start1) +
                            note("D4", 12,
                                 notations("<slur number=\"1\" type=\"start\"/>"
                                           "<slur number=\"1\" type=\"stop\"/>")) +
                            note("E4", 12, stop1) + note("F4", 12)})) == "~~..");
    CHECK(joined(read_bars({note("C4", 12, "<tie type=\"start\"/>" + start1) +
                            note("C4", 12, "<tie type=\"stop\"/>") + note("E4", 24, stop1)})) == "~.");
    CHECK(joined(read_bars({note("C4", 12, start1) + rest(12) + note("E4", 12) + note("F4", 12, stop1)})) ==
          ".~.");
    CHECK(joined(read_bars({grace("B3") + note("C4", 12, start1) + note("E4", 12, stop1)})) == ".~.");
    const Line open = read_bars({note("C4", 12, start1) + note("D4", 12)});
    CHECK(joined(open) == "..");
    REQUIRE(open.remarks.size() == 1);
    CHECK(open.remarks[0] == "slurs without an end in bar 1 are left out");
}

TEST_CASE("a slur and a tie run into the first and into the second ending", "[musicxml]")
{
    const std::string ending1 = "<barline location=\"left\"><ending number=\"1\" type=\"start\"/></barline>",
                      back = "<barline location=\"right\"><ending number=\"1\" type=\"stop\"/>"
                             "<repeat direction=\"backward\"/></barline>",
                      ending2 = "<barline location=\"left\"><ending number=\"2\" type=\"start\"/></barline>";
    const std::string slur_start = notations("<slur type=\"start\"/>"),
                      slur_stop = notations("<slur type=\"stop\"/>");
    const Line line =
        read_bars({note("C4", 24) + note("D4", 24, "<tie type=\"start\"/>" + slur_start),
                   ending1 + note("D4", 24, "<tie type=\"stop\"/>") + note("E4", 24, slur_stop) + back,
                   ending2 + note("D4", 24, "<tie type=\"stop\"/>") + note("F4", 24)});
    CHECK(bars_played(line) == "1 2 1 3");
    CHECK(pitches(line) == "C4 D4 E4 C4 D4 F4");
    CHECK(line.notes[1].length_quarters == 4.0);
    CHECK(line.notes[4].length_quarters == 4.0);
    CHECK(line.notes[1].slurred_to_next);
}

TEST_CASE("a slur that the second ending does not take up ends before it", "[musicxml]")
{
    const Line line = read_bars(
        {note("C4", 12) + note("D4", 12, notations("<slur type=\"start\"/>")) + note("E4", 24),
         "<barline location=\"left\"><ending number=\"1\" type=\"start\"/></barline>" +
             note("F4", 48, notations("<slur type=\"stop\"/>")) +
             "<barline location=\"right\"><ending number=\"1\" type=\"stop\"/>"
             "<repeat direction=\"backward\"/></barline>",
         "<barline location=\"left\"><ending number=\"2\" type=\"start\"/></barline>" + note("G4", 48)});
    CHECK(pitches(line) == "C4 D4 E4 F4 C4 D4 E4 G4");
    std::string joined;
    for (const Note& n : line.notes)
        joined += n.slurred_to_next ? '~' : '.';
    CHECK(joined == ".~~..~..");
    CHECK(line.remarks.empty());
}

TEST_CASE("articulations, fermata, breath and fingering are on their note", "[musicxml]")
{
    const auto marks = [](const std::string& inner) {
        return read_bars({note("C4", 48, notations(inner))}).notes.at(0).articulations;
    };
    const auto articulation = [&](const std::string& name) {
        return marks("<articulations><" + name + "/></articulations>");
    };
    CHECK(articulation("staccato") == art_staccato);
    CHECK(articulation("staccatissimo") == art_staccatissimo);
    CHECK(articulation("spiccato") == art_staccatissimo);
    CHECK(articulation("tenuto") == art_tenuto);
    CHECK(articulation("accent") == art_accent);
    CHECK(articulation("strong-accent") == art_marcato);
    CHECK(articulation("detached-legato") == art_detached_legato);
    CHECK(articulation("breath-mark") == art_breath_after);
    CHECK(articulation("caesura") == art_breath_after);
    CHECK(marks("<fermata/>") == art_fermata);
    CHECK(marks("<articulations><staccato/><accent/></articulations>") == (art_staccato | art_accent));
    CHECK(marks("<technical><fingering>R</fingering></technical>") == 0);
    CHECK(read_bars({note("C4", 48, notations("<technical><fingering>R</fingering></technical>"))})
              .notes[0]
              .fingering == "R");
}

TEST_CASE("grace notes lean on the note they stand before, or on the one before them", "[musicxml]")
{
    const Line line =
        read_bars({grace("D5", "slash=\"yes\"") + note("C5", 24) + grace("B4") + note("A4", 12) +
                   grace("G4", "steal-time-previous=\"20\"") + note("F4", 12) + grace("E4")});
    REQUIRE(line.notes.size() == 7);
    CHECK(pitches(line) == "D5 C5 B4 A4 G4 F4 E4");
    CHECK((line.notes[0].grace && line.notes[0].grace_slashed && !line.notes[0].grace_after));
    CHECK((line.notes[2].grace && !line.notes[2].grace_slashed && !line.notes[2].grace_after));
    CHECK(line.notes[4].grace_after);
    CHECK(line.notes[6].grace_after); // nothing follows it in the bar
    CHECK(line.notes[0].length_quarters == 0.0);
}

TEST_CASE("written dynamics, hairpins and accents", "[musicxml]")
{
    const auto wedge = [](const std::string& type, const std::string& more = "") {
        return direction("<wedge type=\"" + type + "\"" + more + "/>");
    };
    SECTION("a hairpin runs to the mark at its end")
    {
        const Line line = read_bars({dynamics("p") + note("C4", 12) + wedge("crescendo") + note("D4", 36),
                                     wedge("stop") + dynamics("f") + note("E4", 48)});
        CHECK(dynamic_at(line.dynamics, 0.5) == 2.0);
        CHECK(dynamic_at(line.dynamics, 2.5) == Approx(3.5));
        CHECK(dynamic_at(line.dynamics, 4.0) == 5.0);
    }
    SECTION("without a mark it goes one step, and there and back comes back")
    {
        const Line line = read_bars({dynamics("mf") + wedge("crescendo") + note("C4", 24) + wedge("stop") +
                                         wedge("diminuendo") + note("D4", 24) + wedge("stop"),
                                     note("E4", 48)});
        CHECK(dynamic_at(line.dynamics, 2.0) == 5.0);
        CHECK(dynamic_at(line.dynamics, 5.0) == 4.0);
    }
    SECTION("a crescendo into a sudden p rises first")
    {
        const Line line = read_bars({dynamics("mf") + wedge("crescendo") + note("C4", 48) + wedge("stop"),
                                     dynamics("p") + note("E4", 48)});
        CHECK(dynamic_at(line.dynamics, 3.999) == Approx(5.0).margin(0.01));
        CHECK(dynamic_at(line.dynamics, 4.0) == 2.0);
    }
    SECTION("to and from nothing")
    {
        const Line line = read_bars(
            {dynamics("p") + wedge("diminuendo") + note("C4", 24) + wedge("stop", " niente=\"yes\"") +
             wedge("crescendo", " niente=\"yes\"") + note("C4", 24) + wedge("stop") + dynamics("f")});
        CHECK(dynamic_at(line.dynamics, 1.0) == Approx(0.5));
        CHECK(dynamic_at(line.dynamics, 1.999) == Approx(-1.0).margin(0.01));
        CHECK(dynamic_at(line.dynamics, 3.0) == Approx(2.0));
    }
    SECTION("cresc. in words reaches up to eight bars, and no further")
    {
        std::vector<std::string> bars(12, note("C4", 48));
        bars[0] = dynamics("p") + direction("<words>cresc.</words>") + note("C4", 48);
        bars[6] = dynamics("f") + note("C4", 48);
        CHECK(dynamic_at(read_bars(bars).dynamics, 12.0) == Approx(3.5));
        bars[6] = note("C4", 48);
        bars[10] = dynamics("ff") + note("C4", 48);
        CHECK(dynamic_at(read_bars(bars).dynamics, 30.0) == 3.0); // one step
    }
    SECTION("sf is an accent on its note and leaves the level; fp falls to p")
    {
        const Line line = read_bars({dynamics("f") + note("C4", 12) + dynamics("sfz") + note("D4", 12) +
                                     note("E4", 12, notations("<dynamics><rfz/></dynamics>")) +
                                     dynamics("fp") + note("F4", 12)});
        CHECK(line.notes[0].articulations == 0);
        CHECK(line.notes[1].articulations == art_sforzando);
        CHECK(line.notes[2].articulations == art_sforzando);
        CHECK(line.notes[3].articulations == art_forte_piano);
        CHECK(dynamic_at(line.dynamics, 2.5) == 5.0);
        CHECK(dynamic_at(line.dynamics, 3.0) == 2.0);
    }
    SECTION("a percentage counts only where nothing is marked; 100 % is forte (MusicXML 4.0, element sound)")
    {
        const std::string loud = "<sound dynamics=\"100\"/>";
        CHECK(dynamic_at(read_bars({loud + note("C4", 48)}).dynamics, 1.0) == 5.0);
        CHECK(dynamic_at(read_bars({loud + dynamics("pp") + note("C4", 48)}).dynamics, 1.0) == 1.0);
    }
    SECTION("letters in words: 'p dolce' is a dynamic, 'in F' is none")
    {
        CHECK(dynamic_at(read_bars({direction("<words>p dolce</words>") + note("C4", 48)}).dynamics, 0) ==
              2.0);
        CHECK(read_bars({direction("<words>in F</words>") + note("C4", 48)}).dynamics.empty());
    }
}

TEST_CASE("coming back to a place brings back its tempo and its dynamic", "[musicxml]")
{
    const std::string forward = "<barline location=\"left\"><repeat direction=\"forward\"/></barline>";
    const std::string back = "<barline location=\"right\"><repeat direction=\"backward\"/></barline>";
    const Line line =
        read_bars({dynamics("p") + "<sound tempo=\"60\"/>" + note("C4", 48), forward + note("C4", 48),
                   dynamics("f") + "<sound tempo=\"120\"/>" + note("C4", 48) + back});
    CHECK(bars_played(line) == "1 2 3 2 3");
    CHECK(dynamic_at(line.dynamics, 9.0) == 5.0);
    CHECK(dynamic_at(line.dynamics, 13.0) == 2.0);
    CHECK(dynamic_at(line.dynamics, 17.0) == 5.0);
    // 8 quarters at 60, 4 at 120, 4 at 60, 4 at 120
    CHECK(TempoMap(line.tempo).seconds_at(20.0) == Approx(8 + 2 + 4 + 2));
}

TEST_CASE("tempo marks of any part hold for all", "[musicxml]")
{
    const std::string metronome = direction("<metronome><beat-unit>quarter</beat-unit><beat-unit-dot/>"
                                            "<per-minute>c. 60</per-minute></metronome>");
    const Score score =
        read_musicxml(document(part({metronome + rest(48)}, "P1") + part({note("C4", 48)}, "P2")), "x");
    CHECK(TempoMap(score.parts[1].tempo).tempo_at(0.0) == 90.0);
    CHECK(score.remarks.empty());
    const Score none = read_musicxml(document(part({note("C4", 48)})), "x");
    CHECK(none.parts[0].tempo.at(0).quarters_per_minute == 100.0);
    REQUIRE(none.remarks.size() == 1);
}

TEST_CASE("rit. slows to 80 % and a tempo restores, with a remark", "[musicxml]")
{
    const auto words = [](const std::string& text) { return direction("<words>" + text + "</words>"); };
    const std::string bar = note("C4", 48);
    const auto read = [&](std::vector<std::string> bars) { return read_musicxml(document(part(bars)), "x"); };
    const Score score =
        read({"<sound tempo=\"100\"/>" + bar, words("poco rit.") + bar, words("a tempo") + bar, bar});
    const TempoMap tempo(score.parts[0].tempo);
    CHECK(tempo.tempo_at(4.0) == Approx(100.0));
    CHECK(tempo.tempo_at(7.999) == Approx(80.0).margin(0.1));
    CHECK(tempo.tempo_at(8.0) == Approx(100.0));
    REQUIRE(score.remarks.size() == 1);
    CHECK(score.remarks[0].find("bar 2 'poco rit.'") != std::string::npos);
    // without "a tempo": to the end of the next bar
    const TempoMap alone(
        read({"<sound tempo=\"100\"/>" + bar, words("rall.") + bar, bar, bar}).parts[0].tempo);
    CHECK(alone.tempo_at(11.999) == Approx(80.0).margin(0.1));
    CHECK(alone.tempo_at(12.5) == Approx(100.0));
    // old quarter = new eighth
    const TempoMap modulated(
        read({"<sound tempo=\"100\"/>" + bar,
              direction("<metronome><beat-unit>quarter</beat-unit><beat-unit>eighth</beat-unit>"
                        "</metronome>") +
                  bar})
            .parts[0]
            .tempo);
    CHECK(modulated.tempo_at(5.0) == Approx(50.0));
}

TEST_CASE("transposition: absent, chromatic only, with octave, in the middle, by a quarter tone",
          "[musicxml]")
{
    const auto transpose = [](const std::string& inner) {
        return "<attributes><transpose>" + inner + "</transpose></attributes>";
    };
    const Line line = read_bars(
        {note("C5", 48), transpose("<chromatic>-2</chromatic>") + note("C5", 48),
         transpose("<diatonic>-1</diatonic><chromatic>-2</chromatic><octave-change>-1</octave-change>") +
             note("C5", 48)});
    CHECK(line.written_known);
    CHECK(line.notes[0].sounding.number == 72.0);
    CHECK(line.notes[1].sounding.number == 70.0);
    CHECK(line.notes[2].sounding.number == 58.0);
    CHECK(line.notes[2].printed == 72);
    const Line quarter_tone = read_bars({"<note><pitch><step>B</step><alter>-0.5</alter><octave>4</octave></"
                                         "pitch><duration>48</duration></note>"});
    CHECK(quarter_tone.notes[0].sounding.number == 70.5);
    CHECK(quarter_tone.notes[0].printed == 71);
}

TEST_CASE("repeats in playing order", "[musicxml][order]")
{
    const std::string forward = "<barline location=\"left\"><repeat direction=\"forward\"/></barline>";
    const std::string back = "<barline location=\"right\"><repeat direction=\"backward\"/></barline>";
    const auto times = [](const std::string& more) {
        return "<barline location=\"right\"><repeat direction=\"backward\" " + more + "/></barline>";
    };
    const auto ending = [](const std::string& number) {
        return "<barline location=\"left\"><ending number=\"" + number + "\" type=\"start\"/></barline>";
    };
    const auto ending_stop = [](const std::string& number, bool repeat) {
        return "<barline location=\"right\"><ending number=\"" + number + "\" type=\"" +
               (repeat ? "stop" : "discontinue") + "\"/>" +
               (repeat ? "<repeat direction=\"backward\"/>" : "") + "</barline>";
    };
    CHECK(order_of({"", "", ""}) == "1 2 3");
    CHECK(order_of({"", back, ""}) == "1 2 1 2 3");
    CHECK(order_of({"", forward + back, ""}) == "1 2 2 3");
    CHECK(order_of({times("times=\"3\""), ""}) == "1 1 1 2");
    CHECK(order_of({back, back, ""}) == "1 1 2 2 3"); // the second goes back to the first only
    CHECK(order_of({forward, forward + back, back}) == "1 2 2 3 1 2 2 3");
    CHECK(order_of({"", ending("1") + ending_stop("1", true), ending("2") + ending_stop("2", false), "",
                    back}) == "1 2 1 3 4 5 4 5");
    CHECK(order_of({"", ending("1, 2") + ending_stop("1, 2", true), ending("3"), ""}) == "1 2 1 2 1 3 4");
    CHECK(order_of({"", ending("1") + ending_stop("1", true), ""}) == "1 2 1 3"); // second ending not marked
    CHECK(order_of({"", ending("1") + ending_stop("1", true), ending("2") + ending_stop("2", true), ""}) ==
          "1 2 1 3 4");
}

TEST_CASE("Da Capo, Dal Segno, Coda and Fine in playing order", "[musicxml][order]")
{
    const std::string back = "<barline location=\"right\"><repeat direction=\"backward\"/></barline>";
    const std::string back_after_jump =
        "<barline location=\"right\"><repeat direction=\"backward\" after-jump=\"yes\"/></barline>";
    const std::string fine = "<sound fine=\"yes\"/>", da_capo = "<sound dacapo=\"yes\"/>";
    CHECK(order_of({"", fine, "", da_capo, ""}) == "1 2 3 4 1 2");
    CHECK(order_of({"", da_capo, ""}) == "1 2 1 2 3");
    // common practice: the repeats of the minuet are left out the second time
    CHECK(order_of({back, fine, da_capo}) == "1 1 2 3 1 2");
    CHECK(order_of({back_after_jump, fine, da_capo}) == "1 1 2 3 1 1 2");
    CHECK(order_of({"", "<sound segno=\"s\"/>", "", "<sound dalsegno=\"s\"/>", ""}) == "1 2 3 4 2 3 4 5");
    CHECK(order_of({"", "<sound segno=\"s\"/>", "<sound tocoda=\"c\"/>", "<sound dalsegno=\"s\"/>",
                    "<sound coda=\"c\"/>", ""}) == "1 2 3 4 2 3 5 6");
    CHECK(order_of({"", "<sound segno=\"s\"/>" + fine, "<sound dalsegno=\"s\"/>" + back}) == "1 2 3 1 2 3 2");
    // no segno anywhere
    CHECK(order_of({"", "<sound dalsegno=\"s\"/>", ""}) == "1 2 3");
}

TEST_CASE("repeats that stand only in another part hold for this one", "[musicxml][order]")
{
    const std::string back = "<barline location=\"right\"><repeat direction=\"backward\"/></barline>";
    const Score score = read_musicxml(
        document(part({rest(48) + back, rest(48)}, "P1") + part({note("C4", 48), note("D4", 48)}, "P2")),
        "x");
    CHECK(pitches(score.parts[1]) == "C4 C4 D4");
}

TEST_CASE("a score that never comes to its end is refused", "[musicxml][order][hostile]")
{
    const std::string back =
        "<barline location=\"right\"><repeat direction=\"backward\" times=\"1000000000\"/></barline>";
    CHECK(error_of(document(part({note("C4", 48) + back}))).find("more than 100 bars out of 1") !=
          std::string::npos);
}

TEST_CASE("chords give their top note and say so", "[musicxml]")
{
    const Line line = read_bars(
        {note("E4", 24) + note("C5", 24, "", "<chord/>") + note("G4", 24, "", "<chord/>") + note("A4", 24)});
    CHECK(pitches(line) == "C5 A4");
    REQUIRE(line.remarks.size() == 1);
    CHECK(line.remarks[0] == "1 chord (first in bar 1): the top note is played");
}

TEST_CASE("of several voices the upper one sounds", "[musicxml]")
{
    const auto voice = [](int n) { return "<voice>" + std::to_string(n) + "</voice>"; };
    const std::string backup = "<backup><duration>48</duration></backup>";
    const Line line =
        read_bars({note("G5", 24, voice(1)) + rest(24) + backup + note("E4", 12, voice(2)) +
                       note("F4", 12, voice(2)) + note("A4", 24, voice(2)),
                   note("C4", 48, voice(1)) + backup + "<forward><duration>24</duration></forward>" +
                       note("E5", 24, voice(2))});
    CHECK(pitches(line) == "G5 A4 C4 E5");
    CHECK(line.notes[2].length_quarters == 2.0); // ends where the upper note enters
    REQUIRE(line.remarks.size() == 1);
    CHECK(line.remarks[0] == "voices sound together in bars 1 and 2; the upper note is played");
    const Line unison = read_bars({note("G5", 48, voice(1)) + backup + note("G5", 48, voice(2))});
    CHECK(pitches(unison) == "G5");
    CHECK(unison.remarks.empty());
}

TEST_CASE("trills and mordents reach the neighbour that key, bar and accidental print", "[musicxml]")
{
    const auto distance = [](const std::string& fifths, const std::string& pitch, const std::string& ornament,
                             const std::string& before = "") {
        const Line line =
            read_bars({"<attributes><key><fifths>" + fifths + "</fifths></key></attributes>" + before +
                       note(pitch, 12, notations("<ornaments>" + ornament + "</ornaments>"))});
        return line.notes.back().ornaments.at(0).semitones;
    };
    const std::string trill = "<trill-mark/>";
    CHECK(distance("0", "C5", trill) == 2);
    CHECK(distance("0", "E5", trill) == 1);
    CHECK(distance("0", "B4", trill) == 1);  // over the octave
    CHECK(distance("1", "E5", trill) == 2);  // F sharp in G major
    CHECK(distance("-2", "A4", trill) == 1); // B flat in B flat major
    CHECK(distance("0", "A4", trill + "<accidental-mark>flat</accidental-mark>") == 1);
    CHECK(distance("0", "E5", trill, note("F#5", 12)) == 2); // the bar's own sharp
    CHECK(distance("0", "C5", "<mordent/>") == 1);           // down to B
    CHECK(distance("0", "C5", "<inverted-mordent/>") == 2);
    const Line turn = read_bars({note("D5", 48,
                                      notations("<ornaments><turn/><accidental-mark placement=\"below\">"
                                                "sharp</accidental-mark></ornaments>"))});
    CHECK(turn.notes[0].ornaments[0].semitones == 2);
    CHECK(turn.notes[0].ornaments[0].semitones_below == 1);
}

TEST_CASE("wavy lines, tremolos, glissandi", "[musicxml]")
{
    const Line wavy = read_bars(
        {note("C5", 24, notations("<ornaments><trill-mark/><wavy-line type=\"start\"/></ornaments>")) +
         note("D5", 12) + note("E5", 12, notations("<ornaments><wavy-line type=\"stop\"/></ornaments>"))});
    for (const Note& n : wavy.notes)
        CHECK(n.ornaments.size() == 1);

    const Line tremolo = read_bars(
        {note("C5", 12, notations("<ornaments><tremolo type=\"single\">2</tremolo></ornaments>")) +
         note("C5", 12, notations("<ornaments><tremolo type=\"start\">3</tremolo></ornaments>")) +
         note("E5", 12, notations("<ornaments><tremolo type=\"stop\">3</tremolo></ornaments>")) +
         note("C5", 12, notations("<ornaments><tremolo type=\"unmeasured\">0</tremolo></ornaments>"))});
    REQUIRE(tremolo.notes.size() == 3);
    CHECK(tremolo.notes[0].ornaments[0].strokes == 2);
    CHECK(tremolo.notes[1].ornaments[0].kind == OrnamentKind::two_note_tremolo);
    CHECK(tremolo.notes[1].ornaments[0].semitones == 4);
    CHECK(tremolo.notes[1].length_quarters == 2.0);
    CHECK(tremolo.notes[2].ornaments.empty()); // a roll: flutter-tongue on a wind instrument
    CHECK(tremolo.notes[2].articulations == art_flutter);

    const Line glissando =
        read_bars({note("C5", 24, notations("<glissando type=\"start\"/>")) +
                   note("G4", 12, notations("<glissando type=\"stop\"/><slide type=\"start\"/>")) +
                   note("A5", 12, notations("<slide type=\"stop\"/>"))});
    CHECK(glissando.notes[0].ornaments.at(0).kind == OrnamentKind::glissando);
    CHECK(glissando.notes[0].ornaments[0].semitones == -5);
    CHECK(glissando.notes[1].ornaments.at(0).kind == OrnamentKind::slide);
    CHECK(glissando.notes[1].ornaments[0].semitones == 14);
}

TEST_CASE("cue and unpitched notes are silent, hidden notes sound, empty bars keep time", "[musicxml]")
{
    const Line line = read_bars(
        {note("C4", 24, "", "<cue/>") +
             "<note><unpitched><display-step>E</display-step><display-octave>4</display-octave></unpitched>"
             "<duration>12</duration></note><note "
             "print-object=\"no\"><pitch><step>D</step><octave>4</octave></pitch>"
             "<duration>12</duration></note>",
         "",
         "<direction><direction-type><rehearsal>B</rehearsal></direction-type></direction>" +
             note("E4", 48)});
    CHECK(pitches(line) == "D4 E4");
    CHECK(line.notes[0].start_quarter == 3.0);
    CHECK(line.notes[1].start_quarter == 8.0);
    CHECK(line.bars[2].rehearsal == "B");
}

TEST_CASE("bars under a measure repeat sign sound like the bar before", "[musicxml]")
{
    const Line line = read_bars(
        {note("C4", 24) + note("E4", 24),
         "<attributes><measure-style><measure-repeat type=\"start\">1</measure-repeat></measure-style>"
         "</attributes>" +
             rest(48),
         rest(48),
         "<attributes><measure-style><measure-repeat type=\"stop\"/></measure-style></attributes>" +
             rest(48)});
    CHECK(pitches(line) == "C4 E4 C4 E4 C4 E4");
}

TEST_CASE("a time-wise score reads like a part-wise one", "[musicxml]")
{
    const Score score = read_musicxml(
        "<score-timewise><part-list><score-part id=\"P1\"><part-name>a</part-name></score-part></part-list>"
        "<measure number=\"7\"><part id=\"P1\">" +
            four_four + note("C4", 48) + "</part><part id=\"P2\">" + four_four + note("E4", 48) +
            "</part></measure><measure number=\"8\"><part id=\"P1\">" + note("D4", 48) +
            "</part><part id=\"P2\">" + note("F4", 48) + "</part></measure></score-timewise>",
        "x");
    REQUIRE(score.parts.size() == 2);
    CHECK(pitches(score.parts[0]) == "C4 D4");
    CHECK(pitches(score.parts[1]) == "E4 F4");
    CHECK(bars_played(score.parts[1]) == "7 8");
}

TEST_CASE("part list: program from 0, sound, title", "[musicxml]")
{
    const Score score = read_musicxml(
        "<score-partwise><work><work-title>Two Reeds</work-title></work><movement-title>Slow</movement-title>"
        "<part-list><score-part id=\"P1\"><part-name>Reed </part-name><score-instrument id=\"i\">"
        "<instrument-name>x</instrument-name><instrument-sound>wind.reed.clarinet.bflat</instrument-sound>"
        "</score-instrument><midi-instrument "
        "id=\"i\"><midi-program>72</midi-program></midi-instrument></score-part>"
        "</part-list>" +
            part({note("C4", 48)}) + "</score-partwise>",
        "x");
    CHECK(score.title == "Two Reeds: Slow");
    CHECK(score.parts[0].part_name == "Reed");
    CHECK(score.parts[0].midi_program == 71);
    CHECK(score.parts[0].instrument_sound == "wind.reed.clarinet.bflat");
}

TEST_CASE("compressed files: the container's score, or the first one there is", "[musicxml][container]")
{
    const std::string score = document(part({note("C4", 48)}));
    const auto ok = [](const std::string& bytes) {
        return pitches(read_musicxml(bytes, "x.mxl").parts.at(0));
    };
    const auto rootfile = [](const std::string& path, const std::string& more = "") {
        return "<rootfile full-path=\"" + path + "\"" + more + "/>";
    };
    const std::string type = " media-type=\"application/vnd.recordare.musicxml+xml\"";
    CHECK(ok(zipped({{"META-INF/container.xml", container_start + rootfile("a.xml") + container_end},
                     {"a.xml", score}})) == "C4");
    // a PDF of the same page listed first
    CHECK(ok(zipped({{"META-INF/container.xml", container_start +
                                                    rootfile("a.pdf", " media-type=\"application/pdf\"") +
                                                    rootfile("a.xml", type) + container_end},
                     {"a.pdf", "%PDF-1.7"},
                     {"a.xml", score}})) == "C4");
    CHECK(ok(zipped(
              {{"META-INF/container.xml",
                "<c:container xmlns:c=\"urn:x\"><c:rootfiles><c:rootfile full-path=\"a.xml\"/></c:rootfiles>"
                "</c:container>"},
               {"a.xml", score}})) == "C4");
    CHECK(ok(zipped({{"__MACOSX/._a.xml", "junk"}, {"music/a.MusicXML", score}})) == "C4");
    CHECK(ok(zipped({{"META-INF/container.xml", ""}, {"a.xml", score}})) == "C4");
    CHECK(ok(zipped({{"META-INF/container.xml", container_start + rootfile("gone.xml") + container_end},
                     {"a.xml", score}})) == "C4");
    CHECK(ok(score) == "C4"); // plain text under a compressed file's name
}

TEST_CASE("encodings: byte order mark, UTF-16 and Latin-1", "[musicxml][container]")
{
    const std::string body =
        "<score-partwise><part-list><score-part id=\"P1\"><part-name>@</part-name></score-part>"
        "</part-list>" +
        part({note("C4", 48)}) + "</score-partwise>";
    const auto named = [&](const std::string& name) {
        std::string text = body;
        return text.replace(text.find('@'), 1, name);
    };
    const auto name_read = [](const std::string& bytes) {
        return read_musicxml(bytes, "x").parts.at(0).part_name;
    };
    CHECK(name_read("\xEF\xBB\xBF" + named("Fl\xC3\xB6te")) == "Fl\xC3\xB6te");
    CHECK(name_read("<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?>" + named("Fl\xF6te")) == "Fl\xC3\xB6te");
    for (const bool big : {false, true}) {
        std::string wide = big ? std::string("\xFE\xFF") : std::string("\xFF\xFE");
        for (const char c : "<?xml version=\"1.0\" encoding=\"UTF-16\"?>" + named("Reed")) {
            wide += big ? '\0' : c;
            wide += big ? c : '\0';
        }
        CHECK(name_read(wide) == "Reed");
    }
}

TEST_CASE("damaged and hostile files end in one clear line", "[musicxml][hostile]")
{
    const std::string score = document(part({note("C4", 48)}));
    CHECK(error_of("") == "score.mxl: found an empty file, wanted MusicXML");
    CHECK(error_of("%PDF-1.7 ...") == "score.mxl: found a PDF, wanted MusicXML");
    CHECK(error_of("<html></html>") ==
          "score.mxl: found <html>, wanted a MusicXML score (<score-partwise> or <score-timewise>)");
    CHECK(error_of("hello").find("wanted MusicXML") != std::string::npos);
    CHECK(error_of("<score-partwise/>").find("found no notes") != std::string::npos);
    CHECK(error_of(document(part({rest(48)}))).find("found no notes") != std::string::npos);
    CHECK(error_of("<score-partwise>\n<part-list>\n</part>\n")
              .find("score.mxl:3: found text that is not well-formed") == 0);
    CHECK(error_of(score.substr(0, score.size() / 2)).find("not well-formed") != std::string::npos);

    const std::string good = zipped({{"a.xml", score}});
    CHECK(error_of(good.substr(0, good.size() - 30)).find("damaged or truncated zip") != std::string::npos);
    CHECK(error_of("PK").find("damaged or truncated zip") != std::string::npos);
    CHECK(
        error_of(zipped({{"a.pdf", "%PDF-1.7"}})).find("found no MusicXML inside the zip file (but a.pdf)") !=
        std::string::npos);
    CHECK(error_of(zipped({{"a.xml", "%PDF-1.7"}})).find("(a.xml): found a PDF") != std::string::npos);
    CHECK(error_of(zipped({{"a.xml", ""}})).find("found an empty file") != std::string::npos);
}

TEST_CASE("a zip bomb is refused by size and by growth", "[musicxml][hostile]")
{
    const std::string bomb = zipped({{"a.xml", std::string(std::size_t(300) << 20, ' ')}});
    REQUIRE(bomb.size() < (1u << 20));
    CHECK(error_of(bomb).find("found 300 MiB packed into") != std::string::npos);
    const std::string small_bomb = zipped({{"a.xml", std::string(std::size_t(20) << 20, ' ')}});
    CHECK(error_of(small_bomb).find("found 20 MiB packed into") != std::string::npos);
}

TEST_CASE("entities are not expanded and deep nesting is survived", "[musicxml][hostile]")
{
    std::string entities = "<?xml version=\"1.0\"?><!DOCTYPE score-partwise [<!ENTITY a \"aaaaaaaaaa\">";
    for (char c = 'b'; c <= 'p'; ++c)
        entities.append("<!ENTITY ").append(1, c).append(" \"").append(thrice(char(c - 1))).append("\">");
    entities += "]><score-partwise><part-list><score-part "
                "id=\"P1\"><part-name>&p;</part-name></score-part></part-list>" +
                part({note("C4", 48)}) + "</score-partwise>";
    CHECK(read_musicxml(entities, "x").parts.at(0).part_name.size() < 10);

    constexpr std::size_t depth = 1'000'000;
    std::string deep = "<score-partwise>";
    for (std::size_t i = 0; i < depth; ++i)
        deep += "<x>";
    for (std::size_t i = 0; i < depth; ++i)
        deep += "</x>";
    CHECK(error_of(deep + "</score-partwise>").find("found no notes") != std::string::npos);
}

TEST_CASE("nonsense numbers are survived", "[musicxml][hostile]")
{
    const std::string huge = "999999999999999999999999999";
    const auto survives = [](const std::string& bar) {
        const Line line = read_bars({bar + note("C4", 48)});
        CHECK(line.notes.size() >= 1);
        CHECK(line.end_quarter < 1e7);
    };
    survives("<attributes><divisions>" + huge + "</divisions></attributes>");
    survives("<attributes><divisions>0</divisions></attributes>");
    survives("<attributes><divisions>-3</divisions><time><beats>0</beats><beat-type>0</beat-type></time></"
             "attributes>");
    survives("<attributes><time><beats>" + huge + "</beats><beat-type>3</beat-type></time></attributes>");
    survives("<attributes><transpose><chromatic>" + huge + "</chromatic></transpose></attributes>");
    survives("<attributes><key><fifths>9999</fifths></key></attributes>");
    survives("<backup><duration>" + huge + "</duration></backup>");
    survives("<sound tempo=\"0\"/><sound tempo=\"-5\"/><sound tempo=\"1e99\"/>");
    survives("<note><pitch><step>H</step><octave>4</octave></pitch><duration>12</duration></note>");
    survives("<note><pitch><step>C</step><octave>99999999</octave></pitch><duration>12</duration></note>");
    survives("<note><pitch><step>C</step><alter>1e30</alter><octave>4</octave></pitch><duration>12</"
             "duration></note>");
    survives("<barline><ending number=\"1-99999999\" type=\"start\"/></barline>");
    CHECK(error_of(document(part({"<forward><duration>99999999</duration></forward>" + note("C4", 48)})))
              .find("found a bar 1 of") != std::string::npos);
    std::string primes; // lengths with ever new denominators
    for (const int d : {7919, 7907, 7901, 7883, 7879, 7877, 7873, 7867})
        primes += "<attributes><divisions>" + std::to_string(d) + "</divisions></attributes>" + note("C4", 1);
    survives(primes);
}

TEST_CASE("ten thousand notes are read within a second", "[musicxml]")
{
    std::vector<std::string> bars;
    for (int i = 0; i < 2500; ++i)
        bars.push_back(note("C4", 12, notations("<slur type=\"start\"/>")) + note("D4", 12) + note("E4", 12) +
                       note("F4", 12, notations("<slur type=\"stop\"/>")));
    const std::string text = document(part(bars));
    const auto start = std::chrono::steady_clock::now();
    const Score score = read_musicxml(text, "x");
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    CHECK(score.parts[0].notes.size() == 10000);
    CHECK(seconds < 1.0);
}

// ---- Published scores and the MusicXML test suite; see SOURCES.md in the folder of reference files. ----

TEST_CASE("Beethoven op. 93 III: both clarinets as the MIDI file of an independent reader",
          "[musicxml][reference]")
{
    const std::string bytes = reference("beethoven-op93-3.mxl"),
                      midi_bytes = reference("beethoven-op93-3.verovio.mid");
    if (bytes.empty() || midi_bytes.empty())
        return;
    const Score score = read_musicxml(bytes, "beethoven-op93-3.mxl");
    const Line& clarinet = part_of(score, "P5");
    CHECK(clarinet.written_known);
    CHECK(clarinet.midi_program == 71);
    // Tempo di Menuetto, 126 a quarter, stands in the flute's part alone.
    CHECK(TempoMap(clarinet.tempo).tempo_at(100.0) == 126.0);
    // Minuet with repeats and endings, trio with a repeat, minuet without repeats and with the second
    // endings.
    std::string order;
    const auto add = [&](int from, int to) {
        for (int n = from; n <= to; ++n) {
            order += order.empty() ? "" : " ";
            order += std::to_string(n);
        }
    };
    add(1, 11), add(1, 10), add(12, 46), add(13, 45), add(47, 56), add(49, 55), add(57, 83);
    add(1, 10), add(12, 45), add(47, 47);
    CHECK(bars_played(clarinet) == order);
    int highest = 0;
    for (const Note& n : clarinet.notes)
        highest = std::max(highest, n.printed);
    CHECK(pitch_name(highest) == "G6"); // the trio's solo
    for (const Note& n : clarinet.notes)
        REQUIRE(n.sounding.number == n.printed - 2);

    const Score midi = read_midi(midi_bytes, "beethoven-op93-3.verovio.mid");
    for (const auto& [id, count, name] : {std::tuple{"P5", 298u, "Clarinet 1"}, {"P6", 154u, "Clarinet 2"}}) {
        const Line& line = part_of(score, id);
        CHECK(line.notes.size() == count);
        const Line* other = nullptr;
        for (const Line& candidate : midi.parts)
            if (candidate.part_name.find(name) != std::string::npos)
                other = &candidate;
        REQUIRE(other);
        REQUIRE(other->notes.size() == count);
        for (std::size_t i = 0; i < count; ++i) {
            CAPTURE(id, i, line.notes[i].source.id);
            CHECK(line.notes[i].start_quarter == Approx(other->notes[i].start_quarter).margin(0.01));
            CHECK(line.notes[i].sounding == other->notes[i].sounding);
        }
    }
}

TEST_CASE("Brahms op. 90 II: tempo only as a number for the player, one rit. in words",
          "[musicxml][reference]")
{
    const std::string bytes = reference("brahms-op90-2.mxl");
    if (bytes.empty())
        return;
    const Score score = read_musicxml(bytes, "brahms-op90-2.mxl");
    const Line& clarinet = part_of(score, "P5");
    CHECK(clarinet.bars.size() == 134);
    CHECK(clarinet.notes.size() == 383);
    CHECK(TempoMap(clarinet.tempo).tempo_at(0.0) == 92.0);
    REQUIRE(score.remarks.size() == 1);
    CHECK(score.remarks[0].find("bar 131 'poco rit.'") != std::string::npos);
    std::size_t slurred = 0;
    for (std::size_t i = 0; i + 1 < clarinet.notes.size(); ++i) {
        slurred += clarinet.notes[i].slurred_to_next;
        CHECK(clarinet.notes[i].start_quarter + clarinet.notes[i].length_quarters <=
              clarinet.notes[i + 1].start_quarter + 1e-9);
    }
    CHECK(slurred > 150);
}

TEST_CASE("suite 24d: graces that take from the note before and graces that take from the next",
          "[musicxml][reference]")
{
    const std::string bytes = reference("suite-24d-AfterGrace.xml");
    if (bytes.empty())
        return;
    const Line line = read_musicxml(bytes, "24d").parts.at(0);
    CHECK(pitches(line) == "E5 G5 A5 A5 E5 G5 A5");
    std::string lean;
    for (const Note& n : line.notes)
        lean += !n.grace ? '-' : n.grace_after ? '<' : '>';
    CHECK(lean == "-<>>-<<");
}

TEST_CASE("suite 45d: five endings, in the order worked out by hand", "[musicxml][reference]")
{
    std::string text = reference("suite-45d-Repeats-Nested-Alternatives.xml");
    if (text.empty())
        return;
    // The file has rests only, which we refuse; a note in each bar lets it be read.
    CHECK(error_of(text).find("found no notes") != std::string::npos);
    const std::string rest_tag = "<rest/>";
    for (auto at = text.find(rest_tag); at != std::string::npos; at = text.find(rest_tag))
        text.replace(at, rest_tag.size(), "<pitch><step>C</step><octave>5</octave></pitch>");
    // Its text has no forward repeat: every backward repeat goes to bar 1, and each pass takes its own ending
    // (2 | 3-5 | 6-9 | 10 | 11), after which bar 12 closes.
    CHECK(bars_played(read_musicxml(text, "45d").parts.at(0)) == "1 2 1 3 4 5 1 6 7 8 9 1 10 1 11 12");
}

TEST_CASE("suite 72c: from E flat to B flat clarinet in the middle of a part", "[musicxml][reference]")
{
    const std::string bytes = reference("suite-72c-TransposingInstruments-Change.xml");
    if (bytes.empty())
        return;
    const Line line = read_musicxml(bytes, "72c").parts.at(0);
    REQUIRE(line.notes.size() == 3);
    CHECK(line.notes[0].sounding.number == 63.0); // written C4 sounds E flat 4
    CHECK(line.notes[1].sounding.number == 58.0); // written C4 sounds B flat 3
    CHECK(line.notes[2].sounding.number == 58.0);
    for (const Note& n : line.notes)
        CHECK(n.printed == 60);
}
