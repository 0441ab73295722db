// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/container.h"
#include "engine/files/musicxml/read_musicxml.h"
#include "engine/files/writing/annotate_musicxml.h"
#include "models/units/input_error.h"

#include <catch2/catch.hpp>

#include <cstdlib>
#include <filesystem>
#include <fstream>
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

/// Whether the schema of MusicXML 4.0 (W3C, github.com/w3c/musicxml, tag v4.0, schema/musicxml.xsd) accepts
/// the text; what it says goes to `complaint`. True without the schema.
bool valid(const std::string& xml, std::string& complaint)
{
    const fs::path schema = shared_folder() / "musicxml-4.0";
    static const bool there =
        fs::exists(schema / "musicxml.xsd") && std::system("command -v xmllint >/dev/null 2>&1") == 0;
    if (!there) {
        static bool said = false;
        if (!std::exchange(said, true))
            WARN("schema check skipped, no reference files or no xmllint");
        return true;
    }
    const std::string file =
        (fs::temp_directory_path() / ("canebrake-annotate-" + std::to_string(::getpid()))).string();
    std::ofstream(file + ".musicxml", std::ios::binary) << xml;
    const int code = std::system(
        ("XML_CATALOG_FILES='" + (schema / "catalog.xml").string() + "' xmllint --nonet --noout --schema '" +
         (schema / "musicxml.xsd").string() + "' '" + file + ".musicxml' 2> '" + file + ".txt'")
            .c_str());
    std::stringstream text;
    text << std::ifstream(file + ".txt").rdbuf();
    complaint = text.str().substr(0, 2000);
    fs::remove(file + ".musicxml");
    fs::remove(file + ".txt");
    return code == 0;
}

std::string file_bytes(const fs::path& file)
{
    std::stringstream text;
    text << std::ifstream(file, std::ios::binary).rdbuf();
    return text.str();
}

std::vector<std::string> lines_of(const std::string& text)
{
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);)
        lines.push_back(line);
    return lines;
}

/// The lines of `after` that are not in `before`; "changed" first if any of `before` is missing or moved.
std::vector<std::string> added_lines(const std::string& before, const std::string& after)
{
    const std::vector<std::string> old = lines_of(before);
    std::vector<std::string> added;
    std::size_t next = 0;
    for (const std::string& line : lines_of(after)) {
        if (next < old.size() && line == old[next])
            ++next;
        else
            added.push_back(line);
    }
    if (next < old.size())
        added.insert(added.begin(), "changed: " + old[next]);
    return added;
}

std::size_t count_of(const std::string& text, const std::string& word)
{
    std::size_t count = 0;
    for (std::size_t at = text.find(word); at != std::string::npos; at = text.find(word, at + 1))
        ++count;
    return count;
}

struct Annotated {
    std::string text;
    std::vector<std::string> remarks;
};
Annotated annotate(const std::string& bytes, const std::vector<Annotation>& annotations,
                   bool compressed = false)
{
    Annotated result;
    result.text = annotate_musicxml(bytes, "test", annotations, compressed, result.remarks);
    return result;
}

/// A small score in lines: a pick-up with a chord, a grace note and signs of several kinds.
const std::string small_score = R"(<?xml version="1.0" encoding="UTF-8" standalone="no"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">
<!-- kept > as it is <note> -->
<?keep this <note/>?>
<score-partwise version="4.0">
    <part-list>
        <score-part id="P5"><part-name>Clarinet</part-name></score-part>
    </part-list>
    <part id="P5">
        <measure   number='1'>
            <attributes>
                <divisions>2</divisions>
            </attributes>
            <note default-x="12" id="own">
                <pitch><step>C</step><octave>5</octave></pitch>
                <duration>2</duration>
                <voice>2</voice>
                <type>quarter</type>
                <staff>1</staff>
                <lyric><text>do</text></lyric>
            </note>
            <note>
                <grace slash="yes"/>
                <pitch><step>D</step><octave>5</octave></pitch>
                <voice>1</voice>
            </note>
            <note>
                <pitch><step>E</step><octave>5</octave></pitch>
                <duration>2</duration>
                <tie type="start"/>
                <notations>
                    <tied type="start"/>
                    <technical/>
                    <articulations>
                        <accent/>
                    </articulations>
                </notations>
            </note>
            <note>
                <chord/>
                <pitch><step>G</step><octave>5</octave></pitch>
                <duration>2</duration>
                <tie type="start"/>
            </note>
        </measure>
        <measure number="2">
            <note>
                <pitch><step>G</step><octave>5</octave></pitch>
                <duration>2</duration>
                <tie type="stop"/>
                <notations print-object="no"><technical><up-bow/></technical></notations>
            </note>
            <note><rest/><duration>2</duration></note>
            <note><pitch><step>A</step><octave>5</octave></pitch><duration>2</duration><notations><technical><fingering>R</fingering></technical><articulations><breath-mark>comma</breath-mark></articulations></notations></note>
        </measure>
    </part>
</score-partwise>
)";

} // namespace

TEST_CASE("words go before their note, its chord and after its grace notes, in its voice and on its staff",
          "[annotate]")
{
    const auto result = annotate(small_score, {{"own", Annotation::words, "a & <b> \"c\" ♭"},
                                               {"P5:m1:n4", Annotation::words, "chord"}});
    CHECK(result.remarks.empty());
    CHECK(
        added_lines(small_score, result.text) ==
        std::vector<std::string>{
            R"(            <direction placement="below">)", R"(                <direction-type>)",
            R"(                    <words font-style="italic" font-size="8">a &amp; &lt;b&gt; "c" ♭</words>)",
            R"(                </direction-type>)", R"(                <voice>2</voice>)",
            R"(                <staff>1</staff>)", R"(            </direction>)",
            R"(            <direction placement="below">)", R"(                <direction-type>)",
            R"(                    <words font-style="italic" font-size="8">chord</words>)",
            R"(                </direction-type>)", R"(            </direction>)"});
    const auto chord = result.text.find(">chord<");
    CHECK(result.text.find("<step>E</step>") > chord);
    CHECK(result.text.find("<grace") < chord);
    std::string complaint;
    INFO(complaint);
    CHECK(valid(small_score, complaint));
    CHECK(valid(result.text, complaint));
}

TEST_CASE("a fingering joins the signs its note has, before its words of song", "[annotate]")
{
    const auto result = annotate(small_score, {{"own", Annotation::fingering, "T 1 2 3"},
                                               {"P5:m1:n3", Annotation::fingering, "L"},
                                               {"P5:m2:n1", Annotation::fingering, "fork"}});
    CHECK(result.remarks.empty());
    CHECK(added_lines(small_score, result.text) ==
          std::vector<std::string>{
              "                <notations>", "                    <technical>",
              "                        <fingering>T 1 2 3</fingering>", "                    </technical>",
              "                </notations>", "                    <technical>",
              "                        <fingering>L</fingering>", "                    </technical>",
              "                <notations>", "                    <technical>",
              "                        <fingering>fork</fingering>", "                    </technical>",
              "                </notations>"});
    std::string complaint;
    CHECK(valid(result.text, complaint));
    INFO(complaint);
    CHECK(result.text.find("fork") > result.text.find("print-object"));
    const Line line = read_musicxml(result.text, "annotated").parts[0];
    CHECK(line.notes[0].fingering == "T 1 2 3");
}

TEST_CASE("a breath stands at the last of tied notes, and nothing is said twice", "[annotate]")
{
    const auto result = annotate(small_score, {{"P5:m1:n4", Annotation::breath},
                                               {"P5:m1:n4", Annotation::breath},
                                               {"P5:m2:n1", Annotation::breath},
                                               {"P5:m2:n3", Annotation::breath},
                                               {"P5:m2:n3", Annotation::fingering, "R"}});
    CHECK(result.remarks.empty());
    CHECK(added_lines(small_score, result.text) ==
          std::vector<std::string>{"                <notations>", "                    <articulations>",
                                   "                        <breath-mark/>",
                                   "                    </articulations>", "                </notations>"});
    CHECK(result.text.find("<breath-mark/>") > result.text.find("<measure number=\"2\">"));

    const std::vector<Annotation> all{
        {"own", Annotation::words, "once"}, {"own", Annotation::breath}, {"own", Annotation::fingering, "T"}};
    const auto once = annotate(small_score, all);
    CHECK(once.text != small_score);
    CHECK(annotate(once.text, all).text == once.text);
    CHECK(annotate(once.text, {{"own", Annotation::fingering, "L"}}).remarks ==
          std::vector<std::string>{"note 'own' has a fingering already: 'L' left out"});
}

TEST_CASE("a score by bars instead of parts, a score in one line and one with CR LF line ends are annotated "
          "in kind",
          "[annotate]")
{
    const std::string timewise =
        R"(<score-timewise version="4.0"><part-list><score-part id="A"><part-name/></score-part><score-part id="B"><part-name/></score-part></part-list><measure number="7"><part id="A"><note><rest/><duration>1</duration></note></part><part id="B"><attributes><divisions>1</divisions></attributes><note><pitch><step>C</step><octave>5</octave></pitch><duration>1</duration></note></part></measure></score-timewise>)";
    const auto by_bar =
        annotate(timewise, {{"B:m7:n1", Annotation::breath}, {"B:m7:n1", Annotation::words, "up"}});
    CHECK(by_bar.remarks.empty());
    CHECK(by_bar.text.find('\n') == std::string::npos);
    CHECK(by_bar.text.find(
              R"(</attributes><direction placement="below"><direction-type><words font-style="italic" )"
              R"(font-size="8">up</words></direction-type></direction><note>)") != std::string::npos);
    CHECK(by_bar.text.find("<duration>1</duration><notations><articulations><breath-mark/></articulations>"
                           "</notations></note></part></measure>") != std::string::npos);
    std::string complaint;
    CHECK(valid(by_bar.text, complaint));
    INFO(complaint);

    std::string cr_lf;
    for (const std::string& line : lines_of(small_score))
        cr_lf += line + "\r\n";
    const auto there = annotate(cr_lf, {{"own", Annotation::words, "up"}});
    CHECK(count_of(there.text, "\n") == count_of(there.text, "\r\n"));
    CHECK(added_lines(cr_lf, there.text).size() == 7);
}

TEST_CASE("a score keeps its encoding", "[annotate]")
{
    std::string latin = small_score;
    latin.replace(latin.find("UTF-8"), 5, "ISO-8859-1");
    latin.replace(latin.find("Clarinet"), 8, "Clarin\xE9tte");
    const auto in_latin = annotate(latin, {{"own", Annotation::words, "é ♭"}});
    CHECK(added_lines(latin, in_latin.text).size() == 7);
    CHECK(in_latin.text.find("&#xE9; &#x266D;") != std::string::npos);

    for (const bool big : {false, true}) {
        const auto wide = [big](const std::string& ascii) {
            std::string text = big ? "\xFE\xFF" : "\xFF\xFE";
            for (const char c : ascii) {
                text += big ? '\0' : c;
                text += big ? c : '\0';
            }
            return text;
        };
        std::string utf_16 = small_score;
        utf_16.replace(utf_16.find("UTF-8"), 5, "UTF-16");
        const std::vector<Annotation> said{{"own", Annotation::words, "up"}};
        CHECK(annotate(wide(utf_16), said).text == wide(annotate(utf_16, said).text));
    }
    // With a byte order mark in front.
    const auto marked = annotate("\xEF\xBB\xBF" + small_score, {{"own", Annotation::words, "é"}});
    CHECK(added_lines("\xEF\xBB\xBF" + small_score, marked.text).size() == 7);
}

TEST_CASE("a packed score is one that readers of packed scores take", "[annotate]")
{
    const auto packed = annotate(small_score, {{"own", Annotation::words, "up"}}, true);
    // MusicXML 4.0, "Compressed .MXL files": the first entry is `mimetype`, stored as it is, without extra
    // fields, so that the type stands at byte 38 of the file (zip local header: 30 bytes and the name).
    CHECK(packed.text.substr(0, 4) == "PK\x03\x04");
    CHECK(packed.text.substr(30, 8) == "mimetype");
    CHECK(packed.text.substr(38, 34) == "application/vnd.recordare.musicxml");
    const auto plain = annotate(small_score, {{"own", Annotation::words, "up"}});
    CHECK(musicxml::unpack(packed.text, "packed") == plain.text);
    CHECK(annotate(packed.text, {}).text == plain.text);
    CHECK(annotate(small_score, {{"own", Annotation::words, "up"}}, true).text == packed.text);
    CHECK(read_musicxml(packed.text, "packed").parts[0].notes.size() == 4);
}

TEST_CASE("what is no score is refused, and what is not in it is remarked", "[annotate]")
{
    const std::string hostile =
        GENERATE(as<std::string>{}, "", "   ", "no score", "PK\x03\x04 broken", "%PDF-1.7",
                 "<score-partwise>", small_score.substr(0, small_score.size() / 2), "<html><note/></html>",
                 "\xFF\xFE<", std::string(300, '\0'),
                 "<score-partwise><part id='P1'><measure><note></measure></part></score-partwise>",
                 "\xFE\xFF\xD8\x00\xD8");
    INFO(hostile.substr(0, 40));
    std::vector<std::string> remarks;
    CHECK_THROWS_AS(annotate_musicxml(hostile, "hostile", {{"own", Annotation::words, "x"}}, false, remarks),
                    InputError);

    const auto result = annotate(small_score, {{"P5:m9:n1", Annotation::breath},
                                               {"P5:m9:n1", Annotation::words, "x"},
                                               {"own", Annotation::words, " \x01 "},
                                               {"", Annotation::fingering, "T"}});
    CHECK(result.text == small_score);
    CHECK(result.remarks == std::vector<std::string>{"no note 'P5:m9:n1' in the score: nothing said there",
                                                     "found no text for note 'own': nothing said there",
                                                     "no note '' in the score: nothing said there"});
}

TEST_CASE("a score cut off anywhere is refused or annotated, and nothing else", "[annotate]")
{
    for (std::size_t size = 0; size < small_score.size(); size += 37) {
        std::vector<std::string> remarks;
        try {
            annotate_musicxml(small_score.substr(0, size), "cut", {{"own", Annotation::words, "x"}}, false,
                              remarks);
        } catch (const InputError&) {
            continue;
        }
        CHECK(size > small_score.find("</score-partwise>"));
    }
}

TEST_CASE("real scores take annotations as lines inserted, and everything else stays byte for byte",
          "[annotate][reference]")
{
    // Scores: Hauptstimme corpus and MusicXML test suite, see their SOURCES.md.
    const fs::path scores = shared_folder() / "scores";
    if (!fs::exists(scores)) {
        WARN("skipped, no reference files");
        return;
    }
    for (const char* name : {"beethoven-op93-3.mxl", "brahms-op90-2.mxl", "suite-24d-AfterGrace.xml",
                             "suite-72c-TransposingInstruments-Change.xml"}) {
        INFO(name);
        const std::string bytes = file_bytes(scores / name), before = musicxml::unpack(bytes, name);
        const Score score = read_musicxml(bytes, name);
        std::vector<Annotation> annotations;
        std::size_t words = 0;
        for (const Line& line : score.parts) {
            for (std::size_t i = 0; i < line.notes.size(); i += 3) {
                annotations.push_back(
                    {line.notes[i].source.id, Annotation::words, "place " + std::to_string(i)});
                annotations.push_back({line.notes[i].source.id, Annotation::fingering, "T 1"});
                if (!line.notes[i].grace)
                    annotations.push_back({line.notes[i].source.id, Annotation::breath});
                ++words;
            }
        }
        const auto result = annotate(bytes, annotations);
        CHECK(result.remarks.empty());
        const auto added = added_lines(before, result.text);
        REQUIRE(!added.empty());
        CHECK(added[0].substr(0, 7) != "changed");
        CHECK(count_of(result.text, "place ") - count_of(before, "place ") == words);
        for (const char* word : {"color", "enclosure", "<note", "<measure", "<backup", "<sound"})
            CHECK(count_of(result.text, word) == count_of(before, word));
        std::string complaint, its_own;
        if (valid(before, its_own)) {
            CHECK(valid(result.text, complaint));
            CHECK(complaint.find("fails") == std::string::npos);
        }

        // The notes are the same, and those annotated bear their fingering and their breath.
        const Score back = read_musicxml(result.text, name);
        REQUIRE(back.parts.size() == score.parts.size());
        std::size_t fingered = 0, breathed = 0, wanted = 0, wanted_breaths = 0, over_the_end = 0;
        for (std::size_t p = 0; p < score.parts.size(); ++p) {
            const auto &was = score.parts[p].notes, &is = back.parts[p].notes;
            REQUIRE(is.size() == was.size());
            for (std::size_t i = 0; i < was.size(); ++i) {
                CHECK(is[i].source.id == was[i].source.id);
                CHECK(is[i].start_quarter == was[i].start_quarter);
                if (i % 3 != 0)
                    continue;
                ++wanted;
                wanted_breaths += !was[i].grace;
                fingered += is[i].fingering == "T 1";
                const bool breath = is[i].articulations & art_breath_after;
                breathed += !was[i].grace && breath;
                // The minuet ends with bar 44 when it comes back: ties into the trio lead nowhere then.
                over_the_end += !was[i].grace && !breath && was[i].source.bar == "44";
            }
        }
        CHECK(fingered == wanted);
        CHECK(breathed + over_the_end == wanted_breaths);
        CHECK(over_the_end <= 7);
    }
}
