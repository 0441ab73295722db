// SPDX-License-Identifier: MIT
#include "models/instruments/family_names.h"

#include "models/instruments/family_tables.h"
#include "models/instruments/tables.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <map>
#include <set>

namespace canebrake
{
namespace
{

struct Word {
    std::string folded;   ///< lower case, no accents
    bool capital = false; ///< as it stood in the text
};

/// Latin letters with an accent, U+00C0 … U+00FF, without it; a blank where there is no such letter.
constexpr std::string_view unaccented = "aaaaaaaceeeeiiii nooooo ouuuuy saaaaaaaceeeeiiii nooooo ouuuuy y";

std::vector<Word> folded_words(std::string_view text)
{
    std::vector<Word> words(1);
    const auto put = [&](char c, bool capital) {
        if (words.back().folded.empty())
            words.back().capital = capital;
        words.back().folded += c;
    };
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto c = static_cast<unsigned char>(text[i]);
        if (c < 0x80 && std::isalnum(c)) {
            put(char(std::tolower(c)), std::isupper(c) != 0);
        } else if (c == 0xC3 && i + 1 < text.size()) { // U+00C0 … U+00FF
            const auto at = static_cast<unsigned char>(text[++i]) & 0x3Fu;
            if (unaccented[at] != ' ')
                put(unaccented[at], at < 0x20);
        } else if (text.substr(i, 3) == "\xE2\x99\xAD") { // ♭
            put('b', false);
            i += 2;
        } else if (!words.back().folded.empty()) {
            words.emplace_back();
        }
    }
    if (words.back().folded.empty())
        words.pop_back();
    return words;
}

struct Meaning {
    std::string kind, means;
};

const std::map<std::string, Meaning, std::less<>>& dictionary()
{
    static const auto made = [] {
        std::map<std::string, Meaning, std::less<>> all;
        const CsvTable table(embedded::family_words, "family_words.csv");
        for (std::size_t i = 0; i < table.rows(); ++i)
            all[table.text(i, "word")] = {table.text(i, "kind"), table.text(i, "means")};
        return all;
    }();
    return made;
}

/// A run of words with one meaning, or a word with none.
struct Token {
    std::string text;
    const Meaning* meaning = nullptr;
    bool capital = false;
    bool is(std::string_view kind) const { return meaning != nullptr && meaning->kind == kind; }
    bool names_clarinet() const { return is("clarinet") || is("alone"); }
};

/// The longest known runs, from the left.
std::vector<Token> tokens_of(const std::vector<Word>& words)
{
    constexpr std::size_t longest = 3;
    std::vector<Token> tokens;
    for (std::size_t i = 0; i < words.size();) {
        std::size_t taken = 1;
        Token token{words[i].folded, nullptr, words[i].capital};
        for (std::size_t n = std::min(longest, words.size() - i); n >= 1; --n) {
            std::string run = words[i].folded;
            for (std::size_t k = 1; k < n; ++k)
                run += ' ' + words[i + k].folded;
            if (const auto found = dictionary().find(run); found != dictionary().end()) {
                token.text = run;
                token.meaning = &found->second;
                taken = n;
                break;
            }
        }
        tokens.push_back(std::move(token));
        i += taken;
    }
    return tokens;
}

bool is_number(const std::string& word)
{
    static const std::set<std::string> roman{"i", "ii", "iii", "iv"};
    return roman.contains(word) || word.find_first_not_of("0123456789") == std::string::npos ||
           (std::isdigit(static_cast<unsigned char>(word[0])) && word.size() <= 4); // "1st", "1er", "2do"
}

/// "in", "en": a pitch follows.
bool leads_to_pitch(const std::string& word)
{
    return word == "in" || word == "en";
}

bool asks_for_change(const std::vector<Token>& tokens)
{
    static const std::set<std::string> verbs{
        "muta",     "mutano",  "cambia",   "cambiano", "change",  "changes", "nimmt",    "nehmen",
        "take",     "takes",   "wechselt", "wechseln", "prend",   "prenez",  "prennent", "prende",
        "prendono", "changez", "switch",   "to",       "wechsel", "zu",      "changer",  "prendre"};
    return std::any_of(tokens.begin(), tokens.end(),
                       [](const Token& t) { return t.meaning == nullptr && verbs.contains(t.text); });
}

/// Small words that may stand beside a name.
bool is_little(const Token& token)
{
    static const std::set<std::string> little{"in", "en", "to", "the", "zu",  "zur", "al",  "alla",
                                              "a",  "la", "le", "der", "die", "and", "und", "solo"};
    return little.contains(token.text) || is_number(token.text);
}

} // namespace

NameReading read_instrument_name(std::string_view text)
{
    NameReading reading;
    const std::vector<Token> tokens = tokens_of(folded_words(text));
    reading.asks_change = asks_for_change(tokens);
    for (const Token& token : tokens) {
        reading.clarinet |= token.names_clarinet();
        if (token.is("other") && reading.other.empty())
            reading.other = token.meaning->means;
        if (token.is("alone"))
            reading.size = token.meaning->means;
        reading.low_c |= token.is("low");
    }
    const auto beside = [&](std::size_t i, auto&& fits) {
        return (i > 0 && fits(tokens[i - 1])) || (i + 1 < tokens.size() && fits(tokens[i + 1]));
    };
    if (reading.clarinet)
        for (std::size_t i = 0; i < tokens.size(); ++i)
            if (reading.size.empty() && tokens[i].is("size") &&
                beside(i, [](const Token& t) { return t.names_clarinet() || t.is("key") || t.is("size"); }))
                reading.size = tokens[i].meaning->means;
    reading.whole = !tokens.empty();
    for (std::size_t i = 0; i < tokens.size(); ++i) {
        const Token& token = tokens[i];
        if (!token.is("key")) {
            reading.whole = reading.whole && (token.meaning != nullptr || is_little(token));
            continue;
        }
        // "a clarinet" names no pitch, "A clarinet" and "in A" do.
        const bool after_in = i > 0 && leads_to_pitch(tokens[i - 1].text);
        const bool last = i + 1 == tokens.size() || is_number(tokens[i + 1].text);
        const bool letter = token.text.size() == 1;
        const bool near = beside(i, [](const Token& t) { return t.names_clarinet() || t.is("size"); });
        const bool plain = letter || token.text == "as" || token.text == "do" || token.text == "la" ||
                           token.text == "es" || token.text == "re" || token.text == "fa" ||
                           token.text == "ut";
        const bool meant =
            after_in ? (!letter || token.capital || last)
            : plain  ? reading.clarinet && near && (!letter || token.capital) && (letter || token.capital)
                     : reading.clarinet;
        if (meant && reading.key.empty())
            reading.key = token.meaning->means;
    }
    return reading;
}

const FamilyMember* member_in(const NameReading& reading)
{
    const std::string& size = reading.size;
    if (size == "bass")
        return member_named(reading.low_c ? "low-C bass" : reading.key == "A" ? "bass in A" : "bass");
    if (size == "basset clarinet")
        return member_named(reading.key == "F" ? "basset horn" : "basset clarinet");
    if (size == "contrabass")
        return member_named(reading.key == "E-flat" ? "contra-alto" : "contrabass");
    if (size == "small")
        return member_named(reading.key.empty() ? "E-flat" : reading.key);
    if (!size.empty())
        return member_named(size);
    return reading.key.empty() ? nullptr : member_named(reading.key);
}

const FamilyMember* member_at(int transposition)
{
    for (const char* name : {"B-flat", "A", "E-flat", "C", "D", "bass", "bass in A", "basset horn", "alto",
                             "contra-alto", "contrabass", "A-flat"})
        if (member_named(name)->transposition == transposition)
            return member_named(name);
    return nullptr;
}

namespace
{

bool is_generic_id(const std::string& id)
{
    return id == "wind.reed.clarinet";
}

bool names_clarinet_id(const std::string& id)
{
    return id.starts_with("wind.reed.clarinet") || id == "wind.reed.basset-horn";
}

const FamilyMember* member_of_id(const std::string& id)
{
    if (is_generic_id(id))
        return nullptr;
    for (const FamilyMember& member : family())
        if (std::find(member.sound_ids.begin(), member.sound_ids.end(), id) != member.sound_ids.end())
            return &member; // the first: an id that several share means the plain one
    return nullptr;
}

/// General MIDI's wood-winds, programs counted from 0.
std::string other_of_program(int program)
{
    if (program >= 64 && program <= 67)
        return "saxophone";
    static const std::map<int, std::string> wood{{68, "oboe"},    {69, "English horn"}, {70, "bassoon"},
                                                 {72, "piccolo"}, {73, "flute"},        {74, "recorder"}};
    const auto found = wood.find(program);
    return found == wood.end() ? "" : found->second;
}

std::string last_word_of(const std::string& id)
{
    std::string text = id;
    for (const std::string_view group : {"wind.flutes.", "wind.reed.", "wind."})
        if (text.starts_with(group)) {
            text.erase(0, group.size());
            break;
        }
    std::replace(text.begin(), text.end(), '.', ' ');
    return text;
}

/// What a file says of a part's instrument, each with the words to tell of it.
struct Said {
    const NamedBy& by;
    NameReading reading = read_instrument_name(by.part_name);
    std::string name = "its name is '" + by.part_name + "'";
    std::string id = "its sound is " + by.sound_id;
    std::string distance =
        "it sounds " + std::to_string(by.transposition.value_or(0)) + " semitones from written";

    bool agrees(const FamilyMember& member) const
    {
        return !by.transposition || member.written_at(*by.transposition);
    }
    /// "Bass clarinet" that sounds 15 below is the one in A.
    bool bass_in_a(const FamilyMember& member) const
    {
        return member.name == "bass" && by.transposition && !agrees(member) &&
               member_named("bass in A")->written_at(*by.transposition);
    }
};

/// By a name and an id that both mean one of the family.
Named by_name_and_id(const Said& said, const FamilyMember& of_name, const FamilyMember& of_id)
{
    const bool finer = std::find(of_name.sound_ids.begin(), of_name.sound_ids.end(), said.by.sound_id) !=
                       of_name.sound_ids.end();
    if (!finer && said.by.transposition && said.agrees(of_id) && !said.agrees(of_name))
        return {&of_id, "", said.id};
    return {&of_name, "", said.name};
}

Named by_id(const Said& said, const FamilyMember& of_id)
{
    const std::optional<int>& distance = said.by.transposition;
    const bool plain = of_id.name == "B-flat" && distance && !said.agrees(of_id) && *distance != 0;
    if (const auto* by_pitch = plain ? member_at(*distance) : nullptr)
        return {by_pitch, "", said.distance}; // programs write the plain clarinet's id by default
    if (said.bass_in_a(of_id))
        return {member_named("bass in A"), "", said.id + " and " + said.distance};
    return {&of_id, "", said.id};
}

/// A clarinet of which nobody says which.
Named by_distance(const Said& said)
{
    const bool generic_id = is_generic_id(said.by.sound_id);
    if (names_clarinet_id(said.by.sound_id) && !generic_id)
        return {nullptr, said.by.sound_id, said.id}; // a clarinet that is none of ours
    if (said.by.transposition && *said.by.transposition != 0)
        if (const auto* member = member_at(*said.by.transposition))
            return {member, "", said.distance};
    return {member_named("B-flat"), "",
            said.reading.clarinet ? said.name + ", no more than that"
            : generic_id          ? said.id
                                  : "its MIDI program is 72, clarinet"};
}

} // namespace

Named member_for(const NamedBy& by)
{
    const Said said{by};
    const FamilyMember* const of_id = member_of_id(by.sound_id);
    const FamilyMember* const of_name = said.reading.clarinet ? member_in(said.reading) : nullptr;
    if (of_name != nullptr && said.reading.key.empty() && said.bass_in_a(*of_name))
        return {member_named("bass in A"), "", said.name + " and " + said.distance};
    if (of_id != nullptr && of_name != nullptr && of_id != of_name)
        return by_name_and_id(said, *of_name, *of_id);
    if (of_name != nullptr)
        return {of_name, "", said.name};
    if (of_id != nullptr)
        return by_id(said, *of_id);
    if (said.reading.clarinet || is_generic_id(by.sound_id) ||
        (by.sound_id.empty() && said.reading.other.empty() && by.midi_program == 71))
        return by_distance(said);
    if (names_clarinet_id(by.sound_id))
        return {nullptr, by.sound_id, said.id};
    if (!by.sound_id.empty())
        return {nullptr, last_word_of(by.sound_id), said.id};
    if (!said.reading.other.empty())
        return {nullptr, said.reading.other, said.name};
    if (const std::string other = other_of_program(by.midi_program); !other.empty())
        return {nullptr, other, "its MIDI program is " + std::to_string(by.midi_program + 1)};
    return {};
}

} // namespace canebrake
