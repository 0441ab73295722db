// SPDX-License-Identifier: MIT
#include "engine/remedy/ideas.h"

#include "engine/remedy/small_ideas.h"
#include "engine/telling/names.h"
#include "engine/telling/spot_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

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

std::string Subject::name(std::size_t note) const
{
    return written_name(p, note);
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
