// SPDX-License-Identifier: MIT
#include "engine/remedy/ideas.h"

#include "engine/telling/names.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace canebrake
{
namespace
{

constexpr std::size_t most_fingerings = 10;

using Many = std::function<Line(Line, NoteRange)>;

/// One line comes of it.
std::function<std::vector<Line>(const Line&, NoteRange)> one(Many change)
{
    return [change = std::move(change)](const Line& line, NoteRange place) {
        return std::vector<Line>{change(line, place)};
    };
}

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

void tongue_ideas_for_changes(const Subject& s, std::vector<Idea>& ideas)
{
    if (!s.slurred_inside())
        return;
    if (!s.long_spot()) {
        ideas.push_back(
            {ChangeKind::tongue,
             fmt::format("tongue {} instead of slurring into it", s.name(s.spot.to)),
             "the slur is broken before it",
             0.0,
             one([](Line line, NoteRange place) { return tongued_after(std::move(line), place.from); }),
             {}});
        return;
    }
    std::vector<std::size_t> over;
    for (std::size_t i = s.spot.from + 1; i <= s.spot.to; ++i)
        if (s.p.part.choices[i].fingering.register_number !=
                s.p.part.choices[i - 1].fingering.register_number &&
            s.p.joined_into(i))
            over.push_back(s.offset(i - 1));
    if (!over.empty() && over.size() < s.place.to - s.place.from)
        ideas.push_back({ChangeKind::tongue,
                         over.size() == 1 ? std::string("tongue the note over the break")
                                          : fmt::format("tongue the {} changes of register", over.size()),
                         over.size() == 1 ? "the slur is broken there" : "the slur is broken at each of them",
                         0.1 * double(over.size()),
                         one([over](Line line, NoteRange place) {
                             for (const std::size_t offset : over)
                                 line = tongued_after(std::move(line), place.from + offset);
                             return line;
                         }),
                         {}});
    ideas.push_back({ChangeKind::tongue,
                     "slur in pairs instead",
                     "every second note gets a stroke",
                     0.6,
                     one([](Line line, NoteRange place) { return slurred_in_pairs(std::move(line), place); }),
                     {}});
    ideas.push_back({ChangeKind::tongue,
                     "tongue every note",
                     "the slur goes",
                     1.0,
                     one([](Line line, NoteRange place) { return all_tongued(std::move(line), place); }),
                     {}});
}

void tongue_ideas_for_strokes(std::vector<Idea>& ideas)
{
    // A run goes on past the part of it that decides.
    const auto run = [](const Line& line, NoteRange place) { return phrase_around(line, place, 400); };
    ideas.push_back({ChangeKind::tongue,
                     "slur two, tongue two",
                     "every fourth stroke goes",
                     0.0,
                     one([=](Line line, NoteRange place) {
                         const NoteRange whole = run(line, place);
                         return two_slurred_two_tongued(std::move(line), whole);
                     }),
                     {}});
    ideas.push_back({ChangeKind::tongue,
                     "slur in pairs",
                     "every second stroke goes",
                     0.4,
                     one([=](Line line, NoteRange place) {
                         const NoteRange whole = run(line, place);
                         return slurred_in_pairs(std::move(line), whole);
                     }),
                     {}});
    ideas.push_back({ChangeKind::tongue,
                     "slur it all",
                     "every stroke but the first goes",
                     1.5,
                     one([=](Line line, NoteRange place) {
                         const NoteRange whole = run(line, place);
                         for (std::size_t i = whole.from; i < whole.to; ++i)
                             line = slurred_into(std::move(line), i + 1);
                         return line;
                     }),
                     {}});
}

/// The note and what is slurred to it.
NoteRange with_its_slur(const Line& line, NoteRange place)
{
    NoteRange range = place;
    while (range.to + 1 < line.notes.size() && line.notes[range.to].slurred_to_next)
        ++range.to;
    return range;
}

void dynamic_ideas(const Subject& s, std::vector<Idea>& ideas, std::initializer_list<int> steps,
                   bool whole_slur)
{
    const double now = s.p.note(s.spot.from).dynamic;
    for (const int step : steps) {
        const double then = now + step;
        if (then < 0.0 || then > 7.0)
            continue;
        ideas.push_back({ChangeKind::dynamic,
                         fmt::format("play it {} instead of {}", dynamic_name(then), dynamic_name(now)),
                         fmt::format("{} step{} {}", std::abs(step), std::abs(step) == 1 ? "" : "s",
                                     step > 0 ? "louder there" : "softer there"),
                         0.8 * (std::abs(step) - 1),
                         one([=](Line line, NoteRange place) {
                             const NoteRange range = whole_slur ? with_its_slur(line, place) : place;
                             return louder(std::move(line), range, step);
                         }),
                         {}});
    }
}

void entrance_ideas(const Subject& s, std::vector<Idea>& ideas)
{
    const std::size_t from = s.place.from;
    if (from > 0 && !s.p.joined_into(s.spot.from) && s.p.silence_before(s.spot.from) < 0.1)
        ideas.push_back(
            {ChangeKind::tongue,
             fmt::format("slur into {}", s.name(s.spot.from)),
             "it has no beginning of its own",
             0.0,
             one([](Line line, NoteRange place) { return slurred_into(std::move(line), place.from); }),
             {}});
    dynamic_ideas(s, ideas, {1, 2, 3}, true);
}

void breath_idea(const Subject& s, std::vector<std::size_t> after, std::vector<Idea>& ideas, double extra)
{
    std::sort(after.begin(), after.end());
    after.erase(std::unique(after.begin(), after.end()), after.end());
    std::string where;
    std::size_t broken = 0;
    for (std::size_t i = 0; i < after.size(); ++i) {
        const Note& note = s.line.notes[after[i]];
        where += fmt::format(
            "{}after {} in bar {}",
            i == 0                  ? ""
            : i + 1 == after.size() ? " and "
                                    : ", ",
            spelled(note, int(std::lround(note.sounding.number)) - s.p.instrument().transposition),
            note.source.bar);
        broken += note.slurred_to_next;
    }
    std::vector<std::size_t> offsets;
    for (const std::size_t note : after)
        offsets.push_back(note - s.place.from);
    ideas.push_back({ChangeKind::breath,
                     "breathe " + where,
                     broken > 0 ? "the slur is broken there, the note before is shortened"
                                : "the note before is shortened",
                     extra + 0.5 * double(after.size() - 1) + 0.3 * double(broken),
                     one([offsets](Line line, NoteRange place) {
                         for (const std::size_t offset : offsets)
                             line = breath_after(std::move(line), place.from + offset);
                         return line;
                     }),
                     {}});
}

/// The best joint near a share of the place: between tongued notes, at a bar line, on a long note.
std::optional<std::size_t> joint_near(const Subject& s, double share)
{
    const double start = s.quarter(s.place.from);
    const Note& final = s.line.notes[s.place.to];
    const double length = final.start_quarter + final.length_quarters - start;
    std::optional<std::size_t> best;
    double least = 1e9;
    for (std::size_t i = s.place.from; i < s.place.to; ++i) {
        const Note &note = s.line.notes[i], &next = s.line.notes[i + 1];
        const double at = (next.start_quarter - start) / length;
        const double cost = 8.0 * std::abs(at - share) + (note.slurred_to_next ? 1.0 : 0.0) +
                            (next.source.bar_index != note.source.bar_index ? 0.0 : 0.4) -
                            0.5 * std::min(2.0, note.length_quarters);
        if (note.grace || next.grace || cost >= least)
            continue;
        least = cost;
        best = i;
    }
    return best;
}

void breath_ideas(const Subject& s, std::vector<Idea>& ideas)
{
    if (s.place.from < s.place.to) {
        for (const AirSpan& span : s.p.part.breaths.spans)
            if (span.from == s.spot.from && span.break_after != AirSpan::none)
                breath_idea(s, {s.p.printed(span.break_after).source.number}, ideas, 0.0);
        if (const auto half = joint_near(s, 0.5))
            breath_idea(s, {*half}, ideas, 0.1);
        for (const std::size_t breaths : {2, 3}) {
            std::vector<std::size_t> after;
            for (std::size_t i = 1; i <= breaths; ++i)
                if (const auto joint = joint_near(s, double(i) / double(breaths + 1)))
                    after.push_back(*joint);
            if (after.size() == breaths)
                breath_idea(s, after, ideas, 0.2);
        }
    }
    if (s.p.note(s.spot.from).dynamic >= 4.5)
        dynamic_ideas(s, ideas, {-1, -2}, false);
}

void throat_ideas(const Subject& s, std::vector<Idea>& ideas)
{
    constexpr std::uint16_t accents = art_accent | art_marcato | art_sforzando | art_forte_piano;
    for (std::size_t i = s.spot.from; i <= s.spot.to; ++i)
        if (in_throat(s.p.note(i).written) && (s.read(i).articulations & accents)) {
            const std::size_t offset = s.offset(i);
            ideas.push_back({ChangeKind::dynamic,
                             fmt::format("leave {} without its accent", s.name(i)),
                             "the accent goes",
                             0.0,
                             one([=](Line line, NoteRange place) {
                                 return without_marks(std::move(line), place.from + offset, accents);
                             }),
                             {}});
        }
    dynamic_ideas(s, ideas, {-1, -2}, false);
}

} // namespace

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

std::string Subject::name(std::size_t note) const
{
    return spelled(p.printed(note), p.written(note));
}

const Note& Subject::read(std::size_t note) const
{
    return line.notes[std::min(p.printed(note).source.number, line.notes.size() - 1)];
}

bool Subject::slurred_inside() const
{
    for (std::size_t i = spot.from; i < spot.to; ++i)
        if (p.part.joined[i])
            return true;
    return false;
}

bool tempo_matters(const Spot& spot)
{
    switch (spot.cause) {
    case Cause::breath:
    case Cause::endurance:
    case Cause::range:
    case Cause::height:
    case Cause::pitch:
    case Cause::throat:
    case Cause::entrance:
    case Cause::colour:
    case Cause::flutter:
    case Cause::trill: // goes at the fingers' own speed
    case Cause::change:
    case Cause::basis:
    case Cause::reading:
        return false;
    case Cause::tremolo:
        return spot.pace.has_value();
    default:
        return true;
    }
}

void small_ideas(const Subject& s, std::vector<Idea>& ideas)
{
    const Cause cause = s.spot.cause;
    if (of_a_change(cause)) {
        fingering_ideas(s, ideas);
        tongue_ideas_for_changes(s, ideas);
        return;
    }
    switch (cause) {
    case Cause::colour:
        fingering_ideas(s, ideas);
        break;
    case Cause::pitch:
        fingering_ideas(s, ideas);
        dynamic_ideas(s, ideas, {1, -1}, false);
        break;
    case Cause::speech:
        if (!s.p.printed(s.spot.from).figure) {
            fingering_ideas(s, ideas);
            entrance_ideas(s, ideas);
        }
        break;
    case Cause::entrance:
        entrance_ideas(s, ideas);
        break;
    case Cause::throat:
        fingering_ideas(s, ideas);
        throat_ideas(s, ideas);
        break;
    case Cause::tongue:
        tongue_ideas_for_strokes(ideas);
        break;
    case Cause::breath:
        breath_ideas(s, ideas);
        break;
    case Cause::flutter:
        dynamic_ideas(s, ideas, {1, 2, 3}, true);
        break;
    default:
        break;
    }
}

} // namespace canebrake
