// SPDX-License-Identifier: MIT
#include "engine/line/line.h"
#include "engine/line/ornament_shapes.h"

#include <array>

namespace canebrake
{

namespace
{

struct Spelling {
    int step, alter;
};

/// A black key as a sharp on the way up and as a flat on the way down.
Spelling chromatic_spelling(int number, bool upwards)
{
    static constexpr std::array<Spelling, 12> up{
        {{0, 0}, {0, 1}, {1, 0}, {1, 1}, {2, 0}, {3, 0}, {3, 1}, {4, 0}, {4, 1}, {5, 0}, {5, 1}, {6, 0}}};
    static constexpr std::array<Spelling, 12> down{{{0, 0},
                                                    {1, -1},
                                                    {1, 0},
                                                    {2, -1},
                                                    {2, 0},
                                                    {3, 0},
                                                    {4, -1},
                                                    {4, 0},
                                                    {5, -1},
                                                    {5, 0},
                                                    {6, -1},
                                                    {6, 0}}};
    return (upwards ? up : down)[std::size_t(((number % 12) + 12) % 12)];
}

/// Moves a note by semitones and letter names. The main note keeps its printed spelling.
void shift_pitch(Note& note, int semitones, std::optional<int> letters)
{
    if (semitones == 0)
        return;
    note.sounding.number += semitones;
    note.printed += semitones;
    if (!letters) {
        const Spelling spelling = chromatic_spelling(note.printed, semitones > 0);
        note.printed_step = spelling.step;
        note.printed_alter = spelling.alter;
        return;
    }
    const int step = note.printed_step + *letters;
    note.printed_step = ((step % 7) + 7) % 7;
    const int above = (note.printed - natural_semitones[std::size_t(note.printed_step)]) % 12;
    note.printed_alter = above > 6 ? above - 12 : above < -6 ? above + 12 : above;
}

bool touches(const Note& note, const Note& next)
{
    return next.start_quarter <= note.start_quarter + note.length_quarters + 1e-6;
}

Surroundings around(const std::vector<Note>& notes, std::size_t i)
{
    Surroundings found;
    if (i > 0 && notes[i - 1].grace && !notes[i - 1].grace_after && touches(notes[i - 1], notes[i]))
        found.grace_before = notes[i - 1].sounding;
    found.closing_graces = i + 1 < notes.size() && notes[i + 1].grace && notes[i + 1].grace_after &&
                           touches(notes[i], notes[i + 1]);
    return found;
}

bool is_run(OrnamentKind kind)
{
    return kind == OrnamentKind::glissando || kind == OrnamentKind::slide;
}

} // namespace

void write_out_ornaments(Line& line, const OrnamentPace& pace)
{
    constexpr std::uint16_t of_the_start = art_accent | art_marcato | art_sforzando | art_forte_piano;
    constexpr std::uint16_t of_the_end = art_breath_after | art_fermata;
    constexpr std::uint16_t of_the_whole = art_flutter | art_double_tongue;
    constexpr std::uint16_t of_each_stroke = art_staccato | art_staccatissimo;
    const TempoMap tempo(line.tempo);
    std::vector<Note> result;
    result.reserve(line.notes.size());
    int group = -1;
    for (std::size_t n = 0; n < line.notes.size(); ++n) {
        const Note& note = line.notes[n];
        if (note.ornaments.empty() || note.length_quarters <= 0.0) {
            result.push_back(note);
            continue;
        }
        const Surroundings surroundings = around(line.notes, n);
        const std::vector<Small> written = small_notes(note, tempo, pace, surroundings);
        const bool joined = n + 1 < line.notes.size() && touches(note, line.notes[n + 1]);
        bool runs_on = false, trilled = false;
        for (const Ornament& ornament : note.ornaments) {
            runs_on = runs_on || (joined && is_run(ornament.kind) && ornament.semitones != 0);
            trilled = trilled || ornament.kind == OrnamentKind::trill;
        }
        // A slide to the neighbouring semitone has no note between, and still is a slide.
        const bool alone = written.size() == 1;
        const bool figured = !alone || (runs_on && is_run(written[0].kind));
        double at = note.start_quarter;
        for (std::size_t i = 0; i < written.size(); ++i) {
            const bool first = i == 0, last = i + 1 == written.size();
            Note& small = result.emplace_back(note);
            small.ornaments.clear();
            small.start_quarter = at;
            small.length_quarters =
                last ? note.start_quarter + note.length_quarters - at : written[i].quarters;
            at += small.length_quarters;
            shift_pitch(small, written[i].semitones, written[i].letters);
            if (figured) {
                group += first || written[i].kind != written[i - 1].kind;
                small.figure = Figure{written[i].kind, group, written[i].role};
            }
            if (written[i].role != 0)
                small.fingering.clear(); // what is printed over an ornament fingers its main note
            if (last)
                small.slurred_to_next =
                    note.slurred_to_next || runs_on || (trilled && surroundings.closing_graces);
            else
                small.slurred_to_next = !written[i].tongued_after;
            if (alone)
                continue;
            small.articulations = std::uint16_t(
                (note.articulations & of_the_whole) | (first ? note.articulations & of_the_start : 0) |
                (last ? note.articulations & of_the_end : 0) |
                (written[i].kind == OrnamentKind::tremolo ? note.articulations & of_each_stroke : 0));
        }
    }
    line.notes = std::move(result);
}

} // namespace canebrake
