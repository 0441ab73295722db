// SPDX-License-Identifier: MIT
// Parts of one player, printed apart, and the time to get from one to the other.
#include "engine/part/casting.h"
#include "engine/score/score_view.h"
#include "models/instruments/family_names.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <map>
#include <set>
#include <string_view>

namespace canebrake
{
namespace
{

constexpr double touch_s = 0.01;               // less is rounding
constexpr std::size_t believable_overlaps = 2; // more, and they are two players

struct Word {
    std::string text; ///< lower case
    int number = 0;   ///< of a player, or 0
    bool ordinal = false;
};

std::vector<Word> words_of(std::string_view text)
{
    static const std::map<std::string, int, std::less<>> spelt{
        {"first", 1}, {"second", 2},  {"third", 3}, {"primo", 1},  {"secondo", 2}, {"terzo", 3},
        {"prima", 1}, {"seconda", 2}, {"erste", 1}, {"zweite", 2}, {"dritte", 3},  {"premier", 1}};
    static const std::map<std::string, int, std::less<>> roman{{"I", 1}, {"II", 2}, {"III", 3}, {"IV", 4}};
    std::vector<Word> words;
    std::string run;
    const auto finish = [&] {
        if (run.empty())
            return;
        Word word{run, 0, false};
        for (char& c : word.text)
            c = char(std::tolower(static_cast<unsigned char>(c)));
        const std::size_t digits = std::min(run.find_first_not_of("0123456789"), run.size());
        if (digits == 1 && run.size() <= 5) { // "2", "2nd", "1er", "2º"
            word.number = run[0] - '0';
            word.ordinal = run.size() > 1;
        } else if (const auto r = roman.find(run); r != roman.end()) {
            word.number = r->second;
            word.ordinal = true;
        } else if (const auto s = spelt.find(word.text); s != spelt.end()) {
            word.number = s->second;
            word.ordinal = true;
        }
        words.push_back(word);
        run.clear();
    };
    for (const char c : text)
        if (static_cast<unsigned char>(c) >= 0x80 || std::isalnum(static_cast<unsigned char>(c)))
            run += c;
        else
            finish();
    finish();
    return words;
}

/// The player's number, if exactly one stands there; else 0.
int number_in(const std::vector<Word>& words)
{
    int number = 0;
    for (const Word& word : words)
        if (word.number != 0) {
            if (number != 0)
                return 0;
            number = word.number;
        }
    return number;
}

/// "2nd", "Cl. 2", "doubling 2nd clarinet" say whose it is; "2" may be the second bass clarinet, "2 copies"
/// is a count.
int player_in(const std::vector<Word>& words)
{
    static const std::set<std::string> clarinet{"clarinet",   "cl",         "clar",       "kl",
                                                "klarinette", "clarinette", "clarinetto", "clarinete"};
    static const std::set<std::string> little{"player", "chair", "doubling", "doubles", "doubled", "by",
                                              "the",    "of",    "auch",     "spieler", "also",    "part",
                                              "with",   "in",    "a",        "b",       "b♭",      "bb"};
    bool said = false;
    for (const Word& word : words) {
        if (word.number == 0 && !clarinet.contains(word.text) && !little.contains(word.text))
            return 0;
        said |= word.ordinal || clarinet.contains(word.text);
    }
    return said ? number_in(words) : 0;
}

bool is_plain(const FamilyMember& member)
{
    return member.name == "B-flat" || member.name == "A" || member.name == "C";
}

/// What a part's name says about its player.
struct ChairName {
    int number = 0;                        ///< 0: none
    const FamilyMember* member = nullptr;  ///< by the name alone; nullptr: a bare "clarinet"
    const FamilyMember* doubles = nullptr; ///< "(doubling bass)"
    bool plain = false;                    ///< B♭, A, C, or not said
    bool clarinet = false;                 ///< one player's clarinet of whatever kind
};

ChairName chair_name(const std::string& part_name)
{
    std::string outside, inside;
    int depth = 0;
    for (const char c : part_name) {
        const bool opens = c == '(' || c == '[', closes = c == ')' || c == ']';
        depth = std::max(0, depth + opens - closes);
        (depth > 0 && !opens ? inside : outside) += opens || closes ? ' ' : c;
    }
    ChairName name;
    const NameReading reading = read_instrument_name(outside);
    if (!reading.clarinet || !reading.other.empty())
        return name;
    const std::vector<Word> outer = words_of(outside), inner = words_of(inside);
    static const std::set<std::string> several{"clarinets",  "klarinetten", "clarinettes",
                                               "clarinetti", "clarinetes",  "bassklarinetten"};
    if (std::any_of(outer.begin(), outer.end(), [](const Word& w) { return several.contains(w.text); }))
        return name;
    name.clarinet = true;
    name.member = member_in(reading);
    name.plain = name.member == nullptr ? reading.size.empty() : is_plain(*name.member);
    if (!name.plain) {
        name.number = player_in(inner);
        return name;
    }
    // "Kl. 1 (B)", "Clarinet 2 (doubling bass)": what stands in brackets, as if of a clarinet.
    const FamilyMember* const other =
        inner.empty() ? nullptr : member_in(read_instrument_name(inside + " clarinet"));
    if (other != nullptr)
        (is_plain(*other) ? name.member : name.doubles) = other;
    const bool counted = number_in(outer) == 0 && !outer.empty() &&
                         std::any_of(outer.begin(), outer.end(), [](const Word& w) { return w.number != 0; });
    const int behind = number_in(inner);
    name.number = counted                 ? 0
                  : number_in(outer) != 0 ? (behind == 0 ? number_in(outer) : 0)
                                          : player_in(inner);
    return name;
}

/// One part of a chair: who plays what of it.
struct ChairPart {
    std::size_t part;
    Casting casting;
    const FamilyMember* by_name; ///< instead, where the casting follows no change; or nullptr

    const FamilyMember* member_at(double quarter) const
    {
        return by_name != nullptr && casting.stretches.size() == 1 ? by_name : casting.at(quarter).printed;
    }
    std::string title_at(double quarter) const
    {
        const FamilyMember* const member = member_at(quarter);
        return "the " + (member != nullptr ? member->title : casting.at(quarter).other);
    }
};

/// The parts of each chair; those alone in it too.
std::map<int, std::vector<ChairPart>> chairs_of(const Score& score)
{
    std::map<int, std::vector<ChairPart>> chairs;
    std::vector<ChairName> names;
    for (const std::size_t i : clarinet_parts(score)) {
        names.resize(score.parts.size());
        names[i] = chair_name(score.parts[i].part_name);
        if (names[i].number != 0)
            chairs[names[i].number].push_back({i, cast(score.parts[i], "", ""), names[i].member});
    }
    // The only unnumbered one of a kind that exactly one numbered part doubles.
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (names[i].doubles == nullptr || names[i].number == 0)
            continue;
        const FamilyMember* const kind = names[i].doubles;
        const auto doublers =
            std::count_if(names.begin(), names.end(), [&](const ChairName& n) { return n.doubles == kind; });
        std::vector<std::size_t> of_kind;
        for (std::size_t k = 0; k < names.size(); ++k)
            if (names[k].clarinet && names[k].member == kind)
                of_kind.push_back(k);
        const auto& own = score.parts[i].instruments;
        const bool has_it_already = std::any_of(
            own.begin(), own.end(), [&](const InstrumentStretch& s) { return s.name == kind->name; });
        const bool numbered =
            of_kind.size() == 1 && number_in(words_of(score.parts[of_kind[0]].part_name)) != 0;
        if (doublers == 1 && of_kind.size() == 1 && !numbered && !has_it_already)
            chairs[names[i].number].push_back(
                {of_kind[0], cast(score.parts[of_kind[0]], "", ""), names[of_kind[0]].member});
    }
    return chairs;
}

/// Every place where the notes pass from one part to another.
std::vector<ChairChange> passing(const Score& score, const std::vector<ChairPart>& chair)
{
    struct Played {
        const Note* note;
        std::size_t who; ///< index into the chair
    };
    std::vector<Played> played;
    for (std::size_t who = 0; who < chair.size(); ++who)
        for (const Note& note : score.parts[chair[who].part].notes)
            played.push_back({&note, who});
    std::stable_sort(played.begin(), played.end(), [](const Played& a, const Played& b) {
        return a.note->start_quarter < b.note->start_quarter;
    });
    std::vector<ChairChange> changes;
    if (played.empty())
        return changes;
    const TempoMap tempo(score.parts[chair.front().part].tempo);
    const Played* last = &played.front();
    for (const Played& next : played) {
        const double ends = last->note->start_quarter + last->note->length_quarters;
        const auto& old_part = chair[last->who];
        const auto& new_part = chair[next.who];
        const FamilyMember* const from = old_part.member_at(last->note->start_quarter);
        const FamilyMember* const to = new_part.member_at(next.note->start_quarter);
        if (next.who != last->who && from != to) {
            const double seconds = tempo.seconds_at(next.note->start_quarter) - tempo.seconds_at(ends);
            changes.push_back({old_part.part, new_part.part, last->note->source.bar, next.note->source.bar,
                               old_part.title_at(last->note->start_quarter),
                               new_part.title_at(next.note->start_quarter), seconds, change_time(from, to),
                               seconds < -touch_s});
        }
        last = &next;
    }
    return changes;
}

/// Of two parts that overlap too often to be one player's, the first overlap only.
void thin_out(std::vector<ChairChange>& changes)
{
    using Pair = std::pair<std::size_t, std::size_t>;
    const auto pair_of = [](const ChairChange& c) { return Pair(std::minmax(c.from_part, c.to_part)); };
    std::map<Pair, std::size_t> overlaps;
    for (const ChairChange& change : changes)
        overlaps[pair_of(change)] += change.overlaps;
    std::set<Pair> said;
    std::erase_if(changes, [&](const ChairChange& change) {
        const Pair pair = pair_of(change);
        return overlaps[pair] > believable_overlaps && (!change.overlaps || !said.insert(pair).second);
    });
}

} // namespace

std::vector<ChairChange> chair_changes(const Score& score)
{
    std::vector<ChairChange> all;
    for (const auto& [number, chair] : chairs_of(score)) {
        if (chair.size() < 2)
            continue;
        std::vector<ChairChange> changes = passing(score, chair);
        thin_out(changes);
        all.insert(all.end(), changes.begin(), changes.end());
    }
    return all;
}

} // namespace canebrake
