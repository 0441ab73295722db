// SPDX-License-Identifier: MIT
#include "engine/performance/part.h"

#include "engine/plan/tongue.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace canebrake
{

namespace
{

constexpr double join_s = 0.03; // a slur over a gap wider than this is two breaths

std::string off_range_remark(const Note& note, int written, const Instrument& instrument)
{
    char beat[32];
    std::snprintf(beat, sizeof beat, "%.4g", note.source.beat);
    return "bar " + note.source.bar + ", beat " + beat + ": written " + pitch_name(written) + " is off the " +
           instrument.title + " (" + pitch_name(instrument.lowest.number) + " to " +
           pitch_name(instrument.top_extreme.number) + "); left silent";
}

void time_notes(Part& part, const Chart& chart, const Line& line, const RenderSettings& settings)
{
    const Instrument& instrument = chart.instrument();
    const TempoMap tempo(line.tempo, settings.tempo_scale);
    for (std::size_t i = 0; i < line.notes.size(); ++i) {
        const Note& note = line.notes[i];
        PlannedNote p;
        p.line_note = i;
        p.written = {int(std::lround(note.sounding.number)) - instrument.transposition};
        p.start_s = p.stroke_s = tempo.seconds_at(note.start_quarter);
        p.end_s = tempo.seconds_at(note.start_quarter + note.length_quarters);
        p.target_hz = frequency({double(p.written.number + instrument.transposition)}, settings.a4).value;
        p.dynamic = dynamic_at(line.dynamics, note.start_quarter);
        p.silent = chart.ways(p.written).empty();
        if (p.silent)
            part.remarks.push_back(off_range_remark(note, p.written.number, instrument));
        part.notes.push_back(p);
    }
    for (std::size_t i = 0; i < part.notes.size(); ++i) {
        const bool joined = line.notes[i].slurred_to_next && i + 1 < part.notes.size() &&
                            !part.notes[i].silent && !part.notes[i + 1].silent &&
                            part.notes[i + 1].start_s - part.notes[i].end_s < join_s;
        part.joined.push_back(joined);
        if (joined) {
            part.notes[i].end_s = part.notes[i + 1].start_s;
            part.notes[i + 1].tongued = false;
        }
    }
}

/// The player these settings mean, with what they bring.
Kit kit_of(const RenderSettings& settings)
{
    Kit kit = settings.kit;
    kit.level = settings.player;
    return kit;
}

void breathe(Part& part, const Line& line, const Instrument& instrument, const RenderSettings& settings)
{
    constexpr double shortest_s = 0.05; // left of a note that gives its end to a breath
    auto timed = timed_notes(line, instrument.transposition, settings.tempo_scale);
    for (std::size_t i = 0; i < timed.size(); ++i) {
        timed[i].silent = part.notes[i].silent;
        timed[i].slurred_to_next = part.joined[i];
    }
    part.breaths = plan_breaths(timed, kit_of(settings), instrument.breath_factor);
    for (const Breath& breath : part.breaths.breaths) {
        PlannedNote& before = part.notes[breath.after];
        before.breath_s = breath.length_s;
        if (breath.place == BreathPlace::rest)
            continue;
        before.end_s = std::max(before.start_s + shortest_s, before.end_s - breath.stolen_s);
        if (breath.after + 1 < part.notes.size()) {
            PlannedNote& after = part.notes[breath.after + 1];
            part.joined[breath.after] = false;
            after.tongued = true;
            if (breath.late_s > 0.0)
                after.stroke_s = std::min(after.start_s + breath.late_s, 0.5 * (after.start_s + after.end_s));
        }
    }
}

/// Strokes a tongue can make: each so long after the one before, and left out where that would be past the
/// middle of its note.
void tongue(Part& part, const Line& line, const Instrument& instrument, const RenderSettings& settings)
{
    if (settings.player == Player::ideal)
        return;
    constexpr double rested_s = 0.3; // a tongue that has waited so long starts afresh
    double first = -10.0, last = -10.0;
    int strokes = 0;
    for (std::size_t i = 0; i < part.notes.size(); ++i) {
        PlannedNote& note = part.notes[i];
        if (note.silent || !note.tongued)
            continue;
        if (note.stroke_s - last > rested_s) {
            first = note.stroke_s;
            strokes = 0;
        }
        const bool doubled =
            settings.kit.double_tongue || (line.notes[note.line_note].articulations & art_double_tongue);
        const double rebound = strokes == 1   ? 1.3
                               : strokes == 2 ? 1.15
                                              : 1.0; // two or three are not yet a run
        const double rate =
            rebound * fastest_strokes(settings.player, last - first, note.written.number >= 84, doubled,
                                      instrument.tongue_factor);
        const double earliest = strokes == 0 ? note.stroke_s : last + 1.0 / rate;
        const bool follows =
            i > 0 && !part.notes[i - 1].silent && note.start_s - part.notes[i - 1].end_s < join_s;
        if (follows && earliest > note.start_s + 0.5 * (note.end_s - note.start_s)) {
            part.joined[i - 1] = true; // the finger came, the tongue did not
            part.notes[i - 1].end_s = note.start_s;
            note.tongued = false;
            continue;
        }
        if (earliest > note.stroke_s + 0.002)
            note.stroke_s = earliest;
        last = note.stroke_s;
        ++strokes;
    }
}

void choose_fingerings(Part& part, TrillBook& book, const Line& line, const Skill& skill)
{
    std::vector<PlanNote> wanted;
    for (std::size_t i = 0; i < part.notes.size(); ++i) {
        const PlannedNote& note = part.notes[i];
        const double next = i + 1 < part.notes.size() ? part.notes[i + 1].start_s : note.end_s;
        PlanNote w;
        w.written = note.written;
        w.seconds = std::max(0.0, next - note.start_s);
        w.rest_s = std::max(0.0, next - note.end_s);
        w.slurred_to_next = part.joined[i];
        w.tongued = note.tongued;
        w.asked_for = line.notes[note.line_note].fingering;
        if (!skill.even) // the mock-up's trills are two tempered notes
            w.figure = line.notes[note.line_note].figure;
        wanted.push_back(std::move(w));
    }
    part.choices = plan_fingerings(book, wanted, skill.prepares);
    for (std::size_t i = 0; i < part.notes.size(); ++i) {
        PlannedNote& note = part.notes[i];
        if (!note.silent)
            note.fingering = part.choices[i].fingering.keys;
    }
}

} // namespace

double sounding_end(const Part& part, const Line& line, std::size_t at)
{
    const PlannedNote& note = part.notes[at];
    const auto marks = line.notes[note.line_note].articulations;
    const double length = note.end_s - note.start_s;
    if (part.joined[at])
        return note.end_s;
    if (at + 1 < part.notes.size() && part.notes[at + 1].stroke_s > part.notes[at + 1].start_s)
        return std::max(note.end_s, part.notes[at + 1].stroke_s); // the tongue is late
    if (marks & art_staccatissimo)
        return note.start_s + std::max(0.05, 0.3 * length);
    if (marks & art_staccato)
        return note.start_s + std::max(0.06, 0.55 * length);
    if (marks & art_detached_legato)
        return note.end_s - std::min(0.03, 0.2 * length);
    return note.end_s;
}

Part prepare_part(TrillBook& book, const Line& line, const RenderSettings& settings)
{
    Part part;
    time_notes(part, book.chart(), line, settings);
    breathe(part, line, book.chart().instrument(), settings);
    tongue(part, line, book.chart().instrument(), settings);
    choose_fingerings(part, book, line, settings.own_skill.value_or(skill(settings.player)));
    return part;
}

} // namespace canebrake
