// SPDX-License-Identifier: MIT
#include "engine/score/score_parts.h"

#include "models/instruments/family_names.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <set>
#include <string_view>

namespace canebrake
{
namespace
{

bool is_none_of_ours(const std::string& other)
{
    return other.starts_with("wind.reed.clarinet") || other.starts_with("wind.reed.basset-horn");
}

/// Lower-case words; accents stay, but a capital Ö becomes ö.
std::vector<std::string> words_of(std::string_view text)
{
    std::vector<std::string> words(1);
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto c = static_cast<unsigned char>(text[i]);
        if (c >= 0x80 || std::isalpha(c))
            words.back() += c == 0x96 && i > 0 && text[i - 1] == '\xC3' ? '\xB6' : char(std::tolower(c));
        else if (!words.back().empty())
            words.emplace_back();
    }
    return words;
}

/// Horns, trumpets, trombones, tubas and their kin: English, German, French, Italian and usual short forms.
bool names_brass(const std::string& part_name)
{
    static const std::set<std::string> whole{
        "hn",        "hr",         "hrn",       "cor",         "cors",     "corno",    "corni",
        "horns",     "trumpet",    "trumpets",  "tpt",         "tpts",     "trp",      "trpt",
        "trompette", "tromba",     "trombe",    "trompettes",  "tr",       "trombone", "tbn",
        "trombones", "tromboni",   "trb",       "trbn",        "pos",      "tba",      "tubas",
        "tuben",     "cornet",     "cornets",   "cornetto",    "cornetti", "kornett",  "kornette",
        "euphonium", "ophicleide", "bombardon", "flugelhorns", "cimbasso"};
    static const std::set<std::string> reeds{"english", "englisch", "anglais", "anglaise",
                                             "inglese", "basset",   "bassett", "bassetto"};
    constexpr std::array<std::string_view, 8> endings{"horn",    "hörner",   "trompete", "trompeten",
                                                      "posaune", "posaunen", "tuba",     "trombone"};
    bool brass = false;
    for (const std::string& word : words_of(part_name)) {
        if (reeds.contains(word) || word.starts_with("englisch") || word.starts_with("basset"))
            return false;
        brass |= whole.contains(word) || std::any_of(endings.begin(), endings.end(),
                                                     [&](auto ending) { return word.ends_with(ending); });
    }
    return brass;
}

} // namespace

std::vector<std::size_t> clarinet_parts(const Score& score)
{
    std::vector<std::size_t> clarinets;
    std::size_t with_notes = 0, last = 0;
    for (std::size_t i = 0; i < score.parts.size(); ++i) {
        const Line& line = score.parts[i];
        if (line.notes.empty())
            continue;
        ++with_notes;
        last = i;
        if (std::any_of(line.instruments.begin(), line.instruments.end(),
                        [](const auto& who) { return !who.name.empty() || is_none_of_ours(who.other); }))
            clarinets.push_back(i);
    }
    if (with_notes == 1 && score.parts[last].instruments.empty())
        clarinets.push_back(last);
    return clarinets;
}

bool is_brass(const Line& line)
{
    if (line.instrument_sound.starts_with("brass.") || names_brass(line.part_name))
        return true;
    const NameReading name = read_instrument_name(line.part_name);
    const bool silent = !name.clarinet && name.other.empty() && line.instrument_sound.empty();
    return silent && line.midi_program >= 56 && line.midi_program <= 61; // General MIDI 57 to 62
}

bool is_high_wind(const InstrumentStretch& who)
{
    if (!who.name.empty())
        return who.name == "E-flat" || who.name == "D" || who.name == "A-flat";
    constexpr std::array<const char*, 3> winds{"flute", "piccolo", "oboe"};
    return std::any_of(winds.begin(), winds.end(),
                       [&](const char* wind) { return who.other.find(wind) != std::string::npos; });
}

std::string section_of(const std::string& part_name)
{
    static const std::set<std::string_view> roman{"I", "II", "III", "IV"};
    std::string section;
    std::string_view rest = part_name;
    while (!rest.empty()) {
        std::string_view word = rest.substr(0, rest.find(' '));
        rest.remove_prefix(std::min(rest.size(), word.size() + 1));
        while (!word.empty() && (word.back() == '.' || word.back() == ','))
            word.remove_suffix(1);
        const bool digit = !word.empty() && std::isdigit(static_cast<unsigned char>(word.front()));
        if (!word.empty() && !digit && !roman.contains(word))
            section.append(section.empty() ? "" : " ").append(word);
    }
    return section.empty() ? part_name : section;
}

} // namespace canebrake
