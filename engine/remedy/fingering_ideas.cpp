// SPDX-License-Identifier: MIT
#include "engine/remedy/small_ideas.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <string>

namespace canebrake
{
namespace
{

constexpr std::size_t most_fingerings = 10;

/// The way as a part may print it: a word of the trade or a hand, if that says enough; else its keys.
std::string printed_way(const Chart& chart, WrittenPitch written, const Candidate& way)
{
    const std::string name = way.fingering.name;
    for (const std::string& text : {name, std::string("L"), std::string("R"), name + " L", name + " R"}) {
        const auto ways = chart.asked_for(written, text);
        if (!ways.empty() &&
            std::all_of(ways.begin(), ways.end(), [&](const Candidate& c) { return c.hands == way.hands; }))
            return text;
    }
    return way.fingering.keys;
}

} // namespace

void fingering_ideas(const Subject& s, std::vector<Idea>& ideas)
{
    std::set<int> seen;
    std::size_t count = 0;
    for (std::size_t i = s.spot.from; i <= s.spot.to && count < most_fingerings; ++i) {
        if (s.p.note(i).silent || s.p.printed(i).figure || !seen.insert(s.p.written(i)).second)
            continue;
        const Choice& now = s.p.part.choices[i];
        const double pitch = s.read(i).sounding.number;
        const auto everywhere = [pitch](const std::string& keys) {
            return one([=](Line line, NoteRange place) {
                for (std::size_t n = place.from; n <= place.to && n < line.notes.size(); ++n)
                    if (line.notes[n].sounding.number == pitch)
                        line = with_fingering(std::move(line), n, keys);
                return line;
            });
        };
        if (!s.read(i).fingering.empty())
            ideas.push_back({ChangeKind::fingering,
                             fmt::format("leave {} without its printed fingering", s.name(i)),
                             "nothing the listener hears; the player is free",
                             0.0,
                             everywhere(""),
                             {}});
        for (const Candidate& way : s.p.book.chart().ways(s.p.note(i).written)) {
            if (way.hands == now.hands || (way.fingering.use == FingeringUse::trill && s.p.seconds(i) > 0.2))
                continue;
            const bool plain = way.fingering.primary;
            ideas.push_back(
                {ChangeKind::fingering,
                 fmt::format("take {} {}", s.name(i), way_in_words(way.fingering, way.hands, now)),
                 plain ? "nothing the listener hears" : "the colour of the note",
                 plain                                      ? 0.0
                 : way.fingering.use == FingeringUse::trill ? 1.5
                                                            : 0.3,
                 everywhere(printed_way(s.p.book.chart(), s.p.note(i).written, way)),
                 {}});
            ++count;
        }
    }
}

std::string way_in_words(const Fingering& way, const Hands& hands, const Choice& before)
{
    const auto other_little_finger = [&]() -> std::string {
        const auto moved_to = [&](Finger finger) {
            return hands[finger] != 0 && hands[finger] != before.hands[finger];
        };
        return moved_to(Finger::left_little)    ? "with the left little finger"
               : moved_to(Finger::right_little) ? "with the right little finger"
                                                : "with the other little finger";
    };
    if (way.name == before.fingering.name && way.holes == before.fingering.holes)
        return other_little_finger();
    if (way.primary)
        return "by its usual fingering";
    return "by its " + (way.name == "plain" ? std::string("other") : way.name) + " fingering";
}

} // namespace canebrake
