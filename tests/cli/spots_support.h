// SPDX-License-Identifier: MIT
// What the tests of `canebrake spots` share: a folder, the command, and small scores written by hand.
#pragma once

#include "tests/support/folder.h"
#include "tests/support/said.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cctype>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <sstream>
#include <string>
#include <unistd.h>
#include <utility>
#include <vector>

namespace canebrake::test
{

inline std::size_t count_of(const std::string& text, const std::string& word)
{
    std::size_t count = 0;
    for (std::size_t at = text.find(word); at != std::string::npos; at = text.find(word, at + word.size()))
        ++count;
    return count;
}

/// `canebrake spots` with these words.
inline Said spots_says(std::vector<std::string> words)
{
    words.insert(words.begin(), "spots");
    return canebrake_says(words);
}

/// The same, which must go well, as JSON.
inline nlohmann::json spots_json_of(std::vector<std::string> words)
{
    words.push_back("--json");
    const Said said = spots_says(words);
    CAPTURE(words, said.err);
    REQUIRE(said.code == 0);
    return nlohmann::json::parse(said.out);
}

/// All spots of all parts.
inline std::vector<nlohmann::json> all_spots(const nlohmann::json& report)
{
    std::vector<nlohmann::json> all;
    for (const auto& part : report["parts"])
        all.insert(all.end(), part["spots"].begin(), part["spots"].end());
    return all;
}

inline std::size_t count_cause(const nlohmann::json& report, const std::string& cause)
{
    const auto all = all_spots(report);
    return std::size_t(
        std::count_if(all.begin(), all.end(), [&](const auto& spot) { return spot["cause"] == cause; }));
}

/// The first spot of a cause; null if there is none.
inline nlohmann::json first_of(const nlohmann::json& report, const std::string& cause)
{
    for (const auto& spot : all_spots(report))
        if (spot["cause"] == cause)
            return spot;
    return {};
}

/// The grade of the first spot of a cause; "easy" if there is none.
inline std::string grade_of(const nlohmann::json& report, const std::string& cause)
{
    const nlohmann::json spot = first_of(report, cause);
    return spot.is_null() ? "easy" : spot["grade"].get<std::string>();
}

/// "C5:4 (D5 F#5) -:8": notes with their length in sixteenths, a quarter unless told; ( and ) begin and end
/// a slur; - is a rest. One element a line.
inline std::string notes(const std::string& text)
{
    std::string xml;
    std::istringstream words(text);
    for (std::string word; words >> word;) {
        const bool begins = word.front() == '(', ends = word.back() == ')';
        word = word.substr(begins ? 1 : 0, word.size() - (begins ? 1 : 0) - (ends ? 1 : 0));
        const std::size_t colon = word.find(':');
        const std::string length = colon == std::string::npos ? "4" : word.substr(colon + 1);
        const std::string pitch = word.substr(0, colon);
        xml += "<note>\n";
        if (pitch == "-") {
            xml += "<rest/>\n";
        } else {
            const auto sharps = std::count(pitch.begin() + 1, pitch.end(), '#');
            const auto flats = std::count(pitch.begin() + 1, pitch.end(), 'b');
            xml += "<pitch>\n<step>" + pitch.substr(0, 1) + "</step>\n";
            if (sharps + flats > 0)
                xml += "<alter>" + std::to_string(sharps - flats) + "</alter>\n";
            xml += std::string("<octave>") + pitch.back() + "</octave>\n</pitch>\n";
        }
        xml += "<duration>" + length + "</duration>\n";
        if (begins || ends) {
            xml += "<notations>\n";
            if (ends)
                xml += "<slur number=\"1\" type=\"stop\"/>\n";
            if (begins)
                xml += "<slur number=\"1\" type=\"start\"/>\n";
            xml += "</notations>\n";
        }
        xml += "</note>\n";
    }
    return xml;
}

inline std::string direction(const std::string& content)
{
    return "<direction>\n<direction-type>\n" + content + "\n</direction-type>\n</direction>\n";
}
inline std::string dynamic(const std::string& mark)
{
    return direction("<dynamics><" + mark + "/></dynamics>");
}
inline std::string rehearsal(const std::string& mark)
{
    return direction("<rehearsal>" + mark + "</rehearsal>");
}

struct PartText {
    std::string name = "Clarinet in B♭";
    std::vector<std::string> bars;
    int chromatic = -2; ///< transposition; 0: none printed
    int fifths = 0;
    std::string more = ""; ///< behind the name in the part list
};

/// 4/4; four divisions a quarter; one element a line.
inline std::string score_text(const std::vector<PartText>& parts, int tempo = 90, int first_bar = 1)
{
    std::string text = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\">\n"
                       "<part-list>\n";
    for (std::size_t p = 0; p < parts.size(); ++p)
        text += "<score-part id=\"P" + std::to_string(p + 1) + "\">\n<part-name>" + parts[p].name +
                "</part-name>\n" + parts[p].more + "</score-part>\n";
    text += "</part-list>\n";
    for (std::size_t p = 0; p < parts.size(); ++p) {
        const PartText& part = parts[p];
        text += "<part id=\"P" + std::to_string(p + 1) + "\">\n";
        for (std::size_t i = 0; i < part.bars.size(); ++i) {
            text += "<measure number=\"" + std::to_string(int(i) + first_bar) + "\">\n";
            if (i == 0) {
                text += "<attributes>\n<divisions>4</divisions>\n<key>\n<fifths>" +
                        std::to_string(part.fifths) +
                        "</fifths>\n</key>\n<time>\n<beats>4</beats>\n<beat-type>4</beat-type>\n</time>\n";
                if (part.chromatic != 0)
                    text += "<transpose>\n<chromatic>" + std::to_string(part.chromatic) +
                            "</chromatic>\n</transpose>\n";
                text += "</attributes>\n<sound tempo=\"" + std::to_string(tempo) + "\"/>\n";
            }
            text += part.bars[i] + "</measure>\n";
        }
        text += "</part>\n";
    }
    return text + "</score-partwise>\n";
}

// Bars for a studio player at sight, at 90 quarters a minute. By the limits of common practice (no source):
// rocking over the break without a side-key way is easy to 2 crossings a second, risky from 4.
inline const std::string easy_bar = notes("(C5 D5) E5 -");
inline const std::string full_bar = notes("(C5 D5 E5 C5)");
inline const std::string rocking_bar = notes("(G4:2 D5:2 G4:2 D5:2 G4:2 D5:2 G4:2 D5:2)"); // 3 a second
inline const std::string wild_bar = notes("(G4:1 D5:1 G4:1 D5:1 G4:1 D5:1 G4:1 D5:1 G4:1 D5:1 G4:1 D5:1 "
                                          "G4:1 D5:1 G4:1 D5:1)"); // 6 a second
inline const std::string low_bar = notes("C5 C2 E5 C5");           // C2 is on no clarinet of the model
inline const std::string rest_bar = notes("-:16");

// Typed: the same, three and six crossings a second.
inline const std::string rocking = "tempo 90 mf 1/8 G4_D5_G4_D5_G4_D5_G4_D5";
inline const std::string fast_rocking = "tempo 90 mf 1/16 G4_D5_G4_D5_G4_D5_G4_D5_G4_D5_G4_D5_G4_D5_G4_D5";

inline std::filesystem::path shared_folder()
{
    const char* folder = std::getenv("CANEBRAKE_SHARED");
    return folder != nullptr ? std::filesystem::path(folder)
                             : std::filesystem::path(__FILE__).parent_path() / "../../../shared";
}

/// Whether the schema of MusicXML 4.0 (W3C, github.com/w3c/musicxml, tag v4.0, schema/musicxml.xsd) accepts
/// the text; what it says goes to `complaint`. True without the schema, and a warning.
inline bool valid_musicxml(const std::string& xml, std::string& complaint)
{
    const std::filesystem::path schema = shared_folder() / "musicxml-4.0";
    static const bool there = std::filesystem::exists(schema / "musicxml.xsd") &&
                              std::system("command -v xmllint >/dev/null 2>&1") == 0;
    if (!there) {
        static bool said = false;
        if (!std::exchange(said, true))
            WARN("schema check skipped, no reference files or no xmllint");
        return true;
    }
    const Folder folder;
    const std::string file = folder.put("page.musicxml", xml);
    const int code = std::system(
        ("XML_CATALOG_FILES='" + (schema / "catalog.xml").string() + "' xmllint --nonet --noout --schema '" +
         (schema / "musicxml.xsd").string() + "' '" + file + "' 2> '" + (folder / "said.txt") + "'")
            .c_str());
    complaint = bytes_of(folder / "said.txt").substr(0, 2000);
    return code == 0;
}

} // namespace canebrake::test
