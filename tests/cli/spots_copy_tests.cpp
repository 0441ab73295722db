// SPDX-License-Identifier: MIT
// The part back again, with words at its spots: for the writer the reasons, for the player what the hands do.
#include "tests/cli/spots_support.h"

#include "engine/files/musicxml/container.h"
#include "engine/files/musicxml/read_musicxml.h"
#include "engine/files/phrase/read_phrase.h"
#include "engine/files/writing/musicxml_pack.h"
#include "engine/part/choose_part.h"
#include "tests/support/midi_bytes.h"

#include <iostream>

using namespace canebrake;
using namespace canebrake::test;
using Catch::Contains;
using nlohmann::json;
namespace fs = std::filesystem;

namespace
{

/// The lines that `after` has more than `before`; "changed" first if any of `before` is missing or moved.
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

/// A part with several kinds of spot: rocking, a note that is not there, a little-finger slide, a change of
/// instrument, a long breath.
const std::string slide_bar = notes("(F3:1 G#3:1 F3:1 G#3:1 F#3:1 G#3:1 E3:1 F#3:1) C4:8");
const std::vector<std::string> bars{
    rocking_bar,
    slide_bar,
    low_bar,
    rest_bar,
    "<attributes>\n<transpose>\n<chromatic>-3</chromatic>\n</transpose>\n</attributes>\n" + easy_bar,
    rocking_bar};

std::string long_slur()
{
    std::string xml = notes("(C5:16");
    for (int i = 0; i < 14; ++i)
        xml += "</measure>\n<measure number=\"" + std::to_string(i + 8) + "\">\n" +
               notes(i % 2 == 0 ? "D5:16" : "E5:16");
    return xml + "</measure>\n<measure number=\"22\">\n" + notes("C5:16)");
}

/// All words and fingerings of a page, in its order.
std::vector<std::string> signs_of(const std::string& xml)
{
    std::vector<std::string> signs;
    for (std::string line : lines_of(xml)) {
        line.erase(0, line.find_first_not_of(" \t"));
        for (const char* element : {"words", "fingering"})
            if (line.starts_with(std::string("<") + element)) {
                const std::size_t from = line.find('>') + 1;
                signs.push_back(line.substr(from, line.find("</", from) - from));
            }
        if (line.starts_with("<breath-mark"))
            signs.push_back("breath");
    }
    return signs;
}

void check_valid(const std::string& xml)
{
    std::string complaint;
    const bool good = valid_musicxml(xml, complaint);
    INFO(complaint);
    CHECK(good);
}

} // namespace

TEST_CASE("the writer's copy is the score with words below the staff put in, and nothing else changed",
          "[spots][annotate]")
{
    const Folder folder;
    const std::string before = score_text({{"Clarinet", bars}});
    const std::string line = folder.put("line.musicxml", before), copy = folder / "copy.musicxml";
    const json report = spots_json_of({line, "--annotate", copy});
    const std::string after = bytes_of(copy);
    check_valid(before);
    check_valid(after);
    const auto added = added_lines(before, after);
    REQUIRE(!added.empty());
    CHECK(added[0].substr(0, 7) != "changed");
    for (const char* word : {"color", "enclosure", "<note", "<measure", "<sound", "<rehearsal"})
        CHECK(count_of(after, word) == count_of(before, word));
    CHECK(count_of(after, "placement=\"below\"") >= all_spots(report).size());
    // Cause, grade and tempo of each spot stand there.
    const auto signs = signs_of(after);
    const auto stands = [&](const std::string& words) {
        return std::any_of(signs.begin(), signs.end(),
                           [&](const std::string& s) { return s.find(words) != std::string::npos; });
    };
    CHECK(stands("to and fro over the break: awkward, easy to "));
    CHECK(stands("off the instrument: unplayable"));
    CHECK(stands("change of instrument: "));
    for (const std::string& sign : signs) {
        INFO(sign);
        CHECK(columns_of(sign) <= 60); // short words
    }
    CHECK(bytes_of(line) == before);

    // The copy is judged as the line was: words at the spots change nothing.
    json again = spots_json_of({copy});
    CHECK(again["parts"] == report["parts"]);
}

TEST_CASE("the player's copy carries hands, fingerings, breaths and changes, and no reasons",
          "[spots][annotate]")
{
    const Folder folder;
    auto with_breath = bars;
    with_breath.push_back(long_slur());
    const std::string before = score_text({{"Clarinet", with_breath}});
    const std::string line = folder.put("line.musicxml", before), copy = folder / "copy.musicxml";
    const Said said = spots_says({line, "--annotate", copy, "--for", "player"});
    REQUIRE(said.code == 0);
    const std::string after = bytes_of(copy);
    check_valid(after);
    CHECK(added_lines(before, after).at(0).substr(0, 7) != "changed");
    const std::vector<std::string> plain{"L",   "R",    "L-R",  "R-L",    "L-L",
                                         "R-R", "side", "fork", "sliver", "breath"};
    const auto signs = signs_of(after);
    CHECK(signs.size() >= 3);
    for (const std::string& sign : signs) {
        INFO(sign);
        CHECK((std::find(plain.begin(), plain.end(), sign) != plain.end() ||
               sign.starts_with("take the clarinet")));
    }
    CHECK(std::find(signs.begin(), signs.end(), "take the clarinet in A") != signs.end());
    CHECK(std::find(signs.begin(), signs.end(), "breath") != signs.end());
    for (const char* reason : {"awkward", "risky", "unplayable", "easy to", "break"})
        CHECK(count_of(after, reason) == 0);
}

TEST_CASE("a least grade keeps milder spots out of the copy too", "[spots][annotate]")
{
    const Folder folder;
    const std::string line = folder.put("line.musicxml", score_text({{"Clarinet", bars}}));
    spots_json_of({line, "--annotate", folder / "all.musicxml"});
    spots_json_of({line, "--annotate", folder / "worst.musicxml", "--min", "unplayable"});
    const auto all = signs_of(bytes_of(folder / "all.musicxml")),
               worst = signs_of(bytes_of(folder / "worst.musicxml"));
    CHECK(worst.size() < all.size());
    for (const std::string& sign : worst)
        CHECK_THAT(sign, Contains("unplayable"));
}

TEST_CASE("every place of a repeated spot is marked", "[spots][annotate]")
{
    const Folder folder;
    const std::string line =
        folder.put("line.musicxml",
                   score_text({{"Clarinet", {rocking_bar, easy_bar, rocking_bar, easy_bar, rocking_bar}}}));
    const json report = spots_json_of({line, "--annotate", folder / "copy.musicxml"});
    CHECK(first_of(report, "rocking")["times"] == 3);
    CHECK(count_of(bytes_of(folder / "copy.musicxml"), "to and fro over the break: awkward") == 3);
}

TEST_CASE("a packed score comes back packed or plain, as the name says", "[spots][annotate]")
{
    const Folder folder;
    const std::string before = score_text({{"Clarinet", bars}});
    const std::string packed = folder.put("line.mxl", musicxml::pack(before));
    const std::string plain = folder.put("line.musicxml", before);
    spots_json_of({packed, "--annotate", folder / "copy.mxl"});
    spots_json_of({packed, "--annotate", folder / "copy.musicxml"});
    spots_json_of({plain, "--annotate", folder / "from-plain.mxl"});
    const std::string text = bytes_of(folder / "copy.musicxml");
    CHECK(text.starts_with("<?xml"));
    CHECK(added_lines(before, text).at(0).substr(0, 7) != "changed");
    for (const char* name : {"copy.mxl", "from-plain.mxl"}) {
        const std::string bytes = bytes_of(folder / name);
        CHECK(bytes.starts_with("PK"));
        CHECK(musicxml::unpack(bytes, name) == text);
    }
    CHECK(all_spots(spots_json_of({folder / "copy.mxl"})) == all_spots(spots_json_of({plain})));
}

TEST_CASE("a typed phrase becomes a part that reads back as the same notes", "[spots][annotate]")
{
    const Folder folder;
    const std::string phrase =
        "tempo 90 mf 1/8 G4_D5_G4_D5_G4_D5_G4_D5 1/4 Bb4 F#5 stacc C5 rest 1/12 C5 D5 E5 1/4 rest 1/2 E5";
    for (const char* on : {"B-flat", "A", "E-flat", "bass"}) {
        const std::string copy = folder / (std::string(on) + ".musicxml");
        const json report = spots_json_of({"--phrase", phrase, "--instrument", on, "--annotate", copy});
        INFO(on);
        const std::string xml = bytes_of(copy);
        check_valid(xml);
        CHECK(count_of(xml, "to and fro over the break: ") == 1);
        const Line typed = choose_part(read_phrase(phrase), "");
        const Line back = choose_part(read_musicxml(xml, "copy"), "");
        REQUIRE(back.notes.size() == typed.notes.size());
        const json again = spots_json_of({copy});
        CHECK(first_of(again, "rocking")["notes"] == first_of(report, "rocking")["notes"]);
        CHECK(first_of(again, "rocking")["grade"] == first_of(report, "rocking")["grade"]);
        CHECK(first_of(again, "rocking")["easy_up_to_quarter_tempo"] ==
              first_of(report, "rocking")["easy_up_to_quarter_tempo"]);
        for (std::size_t i = 0; i < typed.notes.size(); ++i) {
            CHECK(back.notes[i].start_quarter == Approx(typed.notes[i].start_quarter));
            CHECK(back.notes[i].slurred_to_next == typed.notes[i].slurred_to_next);
        }
    }
}

TEST_CASE("a MIDI file becomes a part at written pitch that reads back", "[spots][annotate]")
{
    const Folder folder;
    std::string messages = meta(0, 0x51, bytes({0x0A, 0x2C, 0x2A})) + meta(0, 0x58, bytes({4, 2, 24, 8})) +
                           meta(0, 0x03, "Clarinet") + message(0, {0xC0, 71});
    const std::vector<int> sounding{65, 72, 65, 72, 65, 72, 65, 72, 67, 69, 70, 72, 74, 72, 70, 69};
    for (const int key : sounding)
        messages += note(0, key, 48);
    const std::string midi = folder.put("line.mid", header(0, 1, 96) + track(messages));
    const std::string copy = folder / "copy.musicxml";
    REQUIRE(spots_says({midi, "--annotate", copy}).code == 0);
    const std::string xml = bytes_of(copy);
    check_valid(xml);
    CHECK_THAT(xml, Contains("<chromatic>-2</chromatic>"));
    const Line back = choose_part(read_musicxml(xml, "copy"), "");
    REQUIRE(back.notes.size() == sounding.size());
    for (std::size_t i = 0; i < sounding.size(); ++i)
        CHECK(back.notes[i].sounding.number == sounding[i]);
}

TEST_CASE("several MIDI parts cannot share one copy: one is asked for", "[spots][annotate]")
{
    const Folder folder;
    const auto part = [](const char* name, int channel) {
        std::string messages = meta(0, 0x03, name) + message(0, {0xC0 | channel, 71});
        for (int i = 0; i < 8; ++i)
            messages += note(0, 65 + 7 * (i % 2), 48, channel);
        return track(messages);
    };
    const std::string midi =
        folder.put("duo.mid", header(1, 2, 96) + part("Clarinet 1", 0) + part("Clarinet 2", 1));
    const Said both = spots_says({midi, "--annotate", folder / "copy.musicxml"});
    CHECK(both.code == 4);
    CHECK_THAT(both.err, Contains("--part"));
    CHECK_FALSE(fs::exists(folder / "copy.musicxml"));
    CHECK(spots_says({midi, "--part", "Clarinet 2", "--annotate", folder / "copy.musicxml"}).code == 0);
}

TEST_CASE("orchestral movements come back with only words put in, within the nag budget",
          "[spots][annotate][reference]")
{
    // Scores: Hauptstimme corpus, see their SOURCES.md.
    const fs::path scores = shared_folder() / "scores";
    if (!fs::exists(scores)) {
        WARN("skipped, no reference files");
        return;
    }
    const Folder folder;
    for (const char* name : {"beethoven-op93-3.mxl", "brahms-op90-2.mxl"}) {
        INFO(name);
        const std::string before = musicxml::unpack(bytes_of((scores / name).string()), name);
        for (const char* reader : {"writer", "player"}) {
            const json report = spots_json_of(
                {(scores / name).string(), "--annotate", folder / "copy.musicxml", "--for", reader});
            const std::string after = bytes_of(folder / "copy.musicxml");
            const auto added = added_lines(before, after);
            CHECK((added.empty() || added[0].substr(0, 7) != "changed"));
            for (const char* word : {"color", "enclosure", "<note", "<measure", "<sound"})
                CHECK(count_of(after, word) == count_of(before, word));
            std::string complaint, its_own;
            if (valid_musicxml(before, its_own)) {
                const bool good = valid_musicxml(after, complaint);
                INFO(complaint);
                CHECK(good);
            }
            // Idiomatic music: at most 2 risky and 6 awkward in 100 bars (common practice, no source), both
            // parts together; the trio of the Beethoven goes up to G6 and is a solo that is practised.
            double bars_with_notes = 0.0, risky = 0.0, awkward = 0.0;
            for (const json& part : report["parts"]) {
                bars_with_notes += part["bars_with_notes"].get<double>();
                risky += part["risky"].get<double>();
                awkward += part["awkward"].get<double>();
                CHECK(part["playable"] == true);
            }
            if (reader == std::string("writer"))
                std::cout << "spots, " << name << ": " << risky << " risky and " << awkward << " awkward in "
                          << bars_with_notes << " bars\n";
            CHECK(risky <= 0.02 * bars_with_notes);
            CHECK(awkward <= 0.06 * bars_with_notes);
        }
    }
}
