// SPDX-License-Identifier: MIT
#include "engine/spots/change.h"

#include "engine/spelling/spell.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace canebrake
{
namespace
{

constexpr double gap_quarters = 1e-3; // a wider one is a silence
constexpr std::uint16_t of_the_stroke = art_staccato | art_staccatissimo | art_detached_legato;

double end_of(const Note& note)
{
    return note.start_quarter + note.length_quarters;
}

bool touches(const Note& note, const Note& next)
{
    return next.start_quarter <= end_of(note) + gap_quarters;
}

/// The range as far as there are notes.
NoteRange within(const Line& line, NoteRange range)
{
    return {range.from, std::min(range.to, line.notes.empty() ? 0 : line.notes.size() - 1)};
}

bool in_line(const Line& line, std::size_t note)
{
    return note < line.notes.size();
}

/// Slurs or tongues the joints inside a range: `slurred` is asked with the number of the note before each.
template <class Slurred> Line articulated(Line line, NoteRange range, Slurred slurred)
{
    range = within(line, range);
    for (std::size_t i = range.from; i < range.to; ++i) {
        Note& note = line.notes[i];
        note.slurred_to_next = slurred(i - range.from) && touches(note, line.notes[i + 1]);
        if (note.slurred_to_next)
            note.articulations &= std::uint16_t(~of_the_stroke);
    }
    return line;
}

/// Only the notes that are wanted; nothing is slurred into a note that went.
template <class Wanted> Line only(const Line& line, Wanted wanted)
{
    Line kept = line;
    kept.notes.clear();
    for (std::size_t i = 0; i < line.notes.size(); ++i) {
        if (wanted(i))
            kept.notes.push_back(line.notes[i]);
        if (wanted(i) && line.notes[i].slurred_to_next && (i + 1 == line.notes.size() || !wanted(i + 1)))
            kept.notes.back().slurred_to_next = false;
    }
    return kept;
}

} // namespace

Line with_fingering(Line line, std::size_t note, const std::string& fingering)
{
    if (in_line(line, note))
        line.notes[note].fingering = fingering;
    return line;
}

Line tongued_after(Line line, std::size_t note)
{
    if (in_line(line, note))
        line.notes[note].slurred_to_next = false;
    return line;
}

Line all_tongued(Line line, NoteRange range)
{
    return articulated(std::move(line), range, [](std::size_t) { return false; });
}

Line slurred_into(Line line, std::size_t note)
{
    return note == 0 ? line
                     : articulated(std::move(line), {note - 1, note}, [](std::size_t) { return true; });
}

Line slurred_in_pairs(Line line, NoteRange range)
{
    return articulated(std::move(line), range, [](std::size_t i) { return i % 2 == 0; });
}

Line two_slurred_two_tongued(Line line, NoteRange range)
{
    return articulated(std::move(line), range, [](std::size_t i) { return i % 4 == 0; });
}

Line breath_after(Line line, std::size_t note)
{
    if (in_line(line, note)) {
        line.notes[note].slurred_to_next = false;
        line.notes[note].articulations |= art_breath_after;
    }
    return line;
}

Line louder(Line line, NoteRange range, double steps)
{
    range = within(line, range);
    if (line.notes.empty())
        return line;
    const double from = line.notes[range.from].start_quarter, to = end_of(line.notes[range.to]);
    const auto old = std::move(line.dynamics);
    const auto ramps_at = [&](double quarter) {
        bool ramp = false;
        for (const DynamicPoint& point : old)
            if (point.quarter <= quarter)
                ramp = point.ramp;
        return ramp;
    };
    const auto raised = [&](double level) { return std::clamp(level + steps, 0.0, 7.0); };
    line.dynamics.clear();
    if (old.empty() && from > 0.0)
        line.dynamics.push_back({0.0, dynamic_at(old, 0.0), false});
    for (const DynamicPoint& point : old)
        if (point.quarter < from)
            line.dynamics.push_back(point);
    line.dynamics.push_back({from, raised(dynamic_at(old, from)), ramps_at(from)});
    for (const DynamicPoint& point : old)
        if (point.quarter > from && point.quarter < to)
            line.dynamics.push_back({point.quarter, raised(point.level), point.ramp});
    line.dynamics.push_back({to, dynamic_at(old, to), ramps_at(to)});
    for (const DynamicPoint& point : old)
        if (point.quarter > to)
            line.dynamics.push_back(point);
    return line;
}

TwoLines handed_over(const Line& line, NoteRange range, bool overlap)
{
    range = within(line, range);
    const auto seconds = [&](std::size_t i) { return i >= range.from && i <= range.to; };
    return {only(line, [&](std::size_t i) { return !seconds(i) || (overlap && i == range.from); }),
            only(line, seconds)};
}

TwoLines in_turns(const Line& line, NoteRange range, double quarters)
{
    range = within(line, range);
    if (line.notes.empty() || !(quarters > 0.0))
        return {line, only(line, [](std::size_t) { return false; })};
    const double origin = quarters * std::floor(line.notes[range.from].start_quarter / quarters + 1e-6);
    const auto group = [&](std::size_t i) {
        return long(std::floor((line.notes[i].start_quarter - origin) / quarters + 1e-6));
    };
    const auto plays = [&](std::size_t i, long player) {
        if (i < range.from || i > range.to)
            return player == 0;
        const bool opens = i > range.from && group(i) != group(i - 1);
        return group(i) % 2 == player || opens;
    };
    return {only(line, [&](std::size_t i) { return plays(i, 0); }),
            only(line, [&](std::size_t i) { return plays(i, 1); })};
}

TwoLines shared_by_height(const Line& line, NoteRange range, double highest)
{
    range = within(line, range);
    const auto seconds = [&](std::size_t i) {
        return i >= range.from && i <= range.to && line.notes[i].sounding.number > highest;
    };
    return {only(line, [&](std::size_t i) { return !seconds(i); }), only(line, seconds)};
}

Line moved(Line line, NoteRange range, int semitones)
{
    range = within(line, range);
    std::vector<bool> which(line.notes.size(), false);
    for (std::size_t i = range.from; i <= range.to && i < line.notes.size(); ++i) {
        Note& note = line.notes[i];
        note.sounding.number += semitones;
        note.printed += semitones;
        which[i] = semitones % 12 != 0;
        note.fingering.clear(); // it was another note's
        for (Ornament& ornament : note.ornaments)
            if (which[i])
                ornament.letters.reset();
    }
    respell_some(line.notes, line.keys, which);
    return line;
}

std::pair<double, double> tempo_section(const Line& line, double from_quarter, double to_quarter)
{
    double from = 0.0, to = line.end_quarter;
    for (const TempoPoint& point : line.tempo) {
        if (point.quarter <= from_quarter + gap_quarters)
            from = point.quarter;
        else if (point.quarter >= to_quarter - gap_quarters) {
            to = point.quarter;
            break;
        }
    }
    return {from, to};
}

Line at_share_of_tempo(Line line, double from_quarter, double to_quarter, double share)
{
    if (line.tempo.empty())
        line.tempo.push_back({});
    const auto [from, to] = tempo_section(line, from_quarter, to_quarter);
    for (TempoPoint& point : line.tempo)
        if (point.quarter >= from && point.quarter < to)
            point.quarters_per_minute *= share;
    return line;
}

NoteRange phrase_around(const Line& line, NoteRange range, std::size_t most)
{
    range = within(line, range);
    NoteRange phrase = range;
    const auto goes_on = [&](std::size_t i) {
        return touches(line.notes[i], line.notes[i + 1]) &&
               !(line.notes[i].articulations & art_breath_after) &&
               (line.notes[i].slurred_to_next || i == 0 || !line.notes[i - 1].slurred_to_next);
    };
    while (phrase.from > 0 && range.from - phrase.from < most && goes_on(phrase.from - 1))
        --phrase.from;
    while (phrase.to + 1 < line.notes.size() && phrase.to - range.to < most && goes_on(phrase.to))
        ++phrase.to;
    return phrase;
}

} // namespace canebrake
