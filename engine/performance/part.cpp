// SPDX-License-Identifier: MIT
#include "engine/performance/part.h"

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

Part prepare_part(TrillBook& book, const Line& line, const RenderSettings& settings)
{
    Part part;
    time_notes(part, book.chart(), line, settings);
    choose_fingerings(part, book, line, settings.own_skill.value_or(skill(settings.player)));
    return part;
}

} // namespace canebrake
