// SPDX-License-Identifier: MIT
#include "engine/remedy/which_clarinet.h"

#include "engine/part/printed_part.h"
#include "engine/plan/slur_speed.h"
#include "engine/spelling/key.h"
#include "engine/spelling/transposed.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace canebrake
{
namespace
{

constexpr std::array<const char*, 8> candidates{"B-flat", "A",           "C",    "E-flat",
                                                "D",      "basset horn", "alto", "bass"};
constexpr double most_off = 0.1; // share of notes off the instrument, for one to be compared at all

/// Notes whose accidental the signature does not have.
std::size_t accidentals_of(const Line& page)
{
    static constexpr std::array<int, 7> order_of_sharps{3, 0, 4, 1, 5, 2, 6}; // F C G D A E B
    std::size_t count = 0;
    for (const Note& note : page.notes) {
        const int fifths = key_at(page.keys, note.start_quarter);
        int alter = 0;
        for (int i = 0; i < std::min(7, std::abs(fifths)); ++i)
            if (order_of_sharps[std::size_t(fifths > 0 ? i : 6 - i)] == note.printed_step)
                alter = fifths > 0 ? 1 : -1;
        count += alter != note.printed_alter;
    }
    return count;
}

bool same_size(const FamilyMember& a, const FamilyMember& b)
{
    const auto size = [](const FamilyMember& m) {
        return m.transposition >= 1 ? 0 : m.transposition >= -3 ? 1 : m.transposition >= -9 ? 2 : 3;
    };
    return size(a) == size(b);
}

Candidature judged_on(const TrialRoom& room, const FamilyMember& member, const FamilyMember& now)
{
    const Line page = transpose_line(with_key(room.line()), member.transposition);
    const auto& owned = room.request().settings.kit.instruments;
    Candidature c;
    c.member = &member;
    c.now = &member == &now;
    c.owned = c.now || std::find(owned.begin(), owned.end(), member.name) != owned.end();
    c.fifths = key_at(page.keys, 0.0);
    c.accidentals = accidentals_of(page);
    c.low = 200;
    double time = 0.0;
    for (const Note& note : page.notes) {
        c.low = std::min(c.low, note.printed);
        c.high = std::max(c.high, note.printed);
        c.off += note.printed < member.lowest.number || note.printed > member.top_extreme.number;
        const std::size_t reg = note.printed < throat_low      ? 0
                                : note.printed <= throat_high  ? 1
                                : note.printed <= clarion_high ? 2
                                                               : 3;
        c.registers[reg] += note.length_quarters;
        time += note.length_quarters;
    }
    for (double& share : c.registers)
        share = time > 0.0 ? share / time : 0.0;
    return c;
}

void judge_it(const TrialRoom& room, Candidature& c, const FamilyMember& now)
{
    const Verdicts verdicts =
        room.verdicts(room.line(), room.everything(), c.now ? "" : c.member->name, true);
    for (const PlacedSpot& v : verdicts) {
        c.awkward += v.spot.grade == Grade::awkward;
        c.risky += v.spot.grade == Grade::risky;
        c.unplayable += v.spot.grade == Grade::unplayable;
    }
    c.score = trouble(verdicts) + 0.6 * std::abs(c.fifths) + (std::abs(c.fifths) >= 6 ? 2.0 : 0.0) +
              0.1 * double(c.accidentals) + (c.owned ? 0.0 : 3.0) + (same_size(*c.member, now) ? 0.0 : 3.0);
}

std::string places(std::size_t count)
{
    return fmt::format("{} rough place{}", count, count == 1 ? "" : "s");
}

/// What is won and what is lost against another.
std::string against(const Candidature& c, const Candidature& now)
{
    std::vector<std::string> won, lost;
    const auto tell = [&](bool better, std::string text) {
        (better ? won : lost).push_back(std::move(text));
    };
    const std::size_t mine = c.awkward + c.risky + c.unplayable,
                      its = now.awkward + now.risky + now.unplayable;
    if (mine != its)
        tell(mine < its, fmt::format("{} instead of {}", places(mine), its));
    else if (c.risky + c.unplayable != now.risky + now.unplayable)
        tell(c.risky + c.unplayable < now.risky + now.unplayable,
             fmt::format("{} risky or worse instead of {}", c.risky + c.unplayable,
                         now.risky + now.unplayable));
    if (std::abs(c.fifths) != std::abs(now.fifths))
        tell(std::abs(c.fifths) < std::abs(now.fifths),
             fmt::format("{} to read instead of {}", signature_words(c.fifths), signature_words(now.fifths)));
    if (c.registers[1] < now.registers[1] - 0.1 || c.registers[1] > now.registers[1] + 0.1)
        tell(c.registers[1] < now.registers[1],
             fmt::format("{:.0f} % throat notes instead of {:.0f}", 100.0 * c.registers[1],
                         100.0 * now.registers[1]));
    if (c.registers[3] < now.registers[3] - 0.1 || c.registers[3] > now.registers[3] + 0.1)
        tell(c.registers[3] < now.registers[3],
             fmt::format("{:.0f} % above C6 instead of {:.0f}", 100.0 * c.registers[3],
                         100.0 * now.registers[3]));
    if (c.off != now.off)
        tell(c.off < now.off,
             fmt::format("{} note{} off it instead of {}", c.off, c.off == 1 ? "" : "s", now.off));
    if (!same_size(*c.member, *now.member))
        lost.push_back("another voice");
    if (!c.owned)
        lost.push_back("the player may not own one");
    const auto joined = [](const std::vector<std::string>& all) {
        std::string text;
        for (const std::string& one : all)
            text += (text.empty() ? "" : ", ") + one;
        return text;
    };
    if (won.empty() && lost.empty())
        return "much the same";
    return (won.empty() ? "" : "Won: " + joined(won)) + (won.empty() || lost.empty() ? "" : ". ") +
           (lost.empty() ? "" : "Lost: " + joined(lost));
}

} // namespace

std::vector<Candidature> clarinets_for(const TrialRoom& room)
{
    const Casting casting = room.played(room.line()).casting;
    const FamilyMember* now = nullptr;
    for (const Casting::Stretch& stretch : casting.stretches)
        if (now == nullptr && stretch.printed != nullptr)
            now = member_named(stretch.played_on);
    std::vector<Candidature> all;
    for (const FamilyMember& member : family()) {
        const bool asked = &member == now ||
                           std::find(candidates.begin(), candidates.end(), member.name) != candidates.end();
        if (!asked || !has_model(member.name))
            continue;
        Candidature c = judged_on(room, member, *now);
        if (!c.now && double(c.off) > most_off * double(room.line().notes.size()))
            continue;
        judge_it(room, c, *now);
        all.push_back(std::move(c));
    }
    std::stable_sort(all.begin(), all.end(), [](const Candidature& a, const Candidature& b) {
        return a.score != b.score ? a.score < b.score : a.now > b.now;
    });
    const auto is_now = std::find_if(all.begin(), all.end(), [](const Candidature& c) { return c.now; });
    const Candidature as_now = *is_now;
    for (Candidature& c : all)
        c.words = c.now ? "As it is played now" : against(c, as_now);
    return all;
}

} // namespace canebrake
