// SPDX-License-Identifier: MIT
#include "engine/line/line.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>

namespace canebrake
{

// Ornaments as plain notes, played simply. Speeds are common practice, no source: a trill alternates about 9
// times a second and begins and ends on its main note; the quick notes of mordents last 65 ms, those of turns
// 90 ms.
namespace
{

constexpr double trill_notes_per_s = 9.0;
constexpr double fastest_trill_notes_per_s = 14.0;
constexpr double mordent_s = 0.065;
constexpr double turn_s = 0.090;
constexpr double unmeasured_tongued_per_s = 10.0;
constexpr double unmeasured_slurred_per_s = 12.0;
constexpr int most_notes = 4096; // a bound against nonsense lengths

/// One small note: distance from the main note in semitones and in letter names, and its share of the time.
struct Small {
    int semitones = 0;
    int letters = 0;
    double quarters = 0.0;
};

void shift_pitch(Note& note, int semitones, int letters)
{
    static constexpr std::array<int, 7> natural{0, 2, 4, 5, 7, 9, 11};
    note.sounding.number += semitones;
    note.printed += semitones;
    const int step = note.printed_step + letters;
    note.printed_step = ((step % 7) + 7) % 7;
    const int above = (note.printed - natural[std::size_t(note.printed_step)]) % 12;
    note.printed_alter = above > 6 ? above - 12 : above < -6 ? above + 12 : above;
}

/// Flags of a note of this length: quarter 0, eighth 1, sixteenth 2; strokes add to them.
double stroke_quarters(double length_quarters, int strokes)
{
    const int flags = length_quarters >= 1.0 ? 0 : int(std::ceil(-std::log2(length_quarters) - 1e-9));
    return std::ldexp(1.0, -(flags + strokes));
}

std::vector<Small> alternate(int count, double length, int semitones, int letters)
{
    std::vector<Small> small;
    for (int i = 0; i < count; ++i)
        small.push_back(i % 2 ? Small{semitones, letters, length / count} : Small{0, 0, length / count});
    return small;
}

std::vector<Small> trill(double length, double seconds, int semitones)
{
    int count = int(std::lround(seconds * trill_notes_per_s));
    count = std::clamp(count % 2 ? count : count + 1, 3, most_notes - 1);
    if (seconds * fastest_trill_notes_per_s < count)
        count = seconds * fastest_trill_notes_per_s < 3.0 ? 1 : 3;
    return alternate(count, length, semitones, 1);
}

std::vector<Small> mordent(double length, double quick, int semitones, int letters)
{
    quick = std::min(quick, length / 4.0);
    return {{0, 0, quick}, {semitones, letters, quick}, {0, 0, length - 2.0 * quick}};
}

std::vector<Small> turn(double length, double quick, int first, int third, int letters)
{
    quick = std::min(quick, length / 8.0);
    return {{0, 0, length / 2.0},
            {first, letters, quick},
            {0, 0, quick},
            {third, -letters, quick},
            {0, 0, length / 2.0 - 3.0 * quick}};
}

std::vector<Small> chromatic_run(double length, int semitones)
{
    const int between = std::min(std::abs(semitones) - 1, most_notes);
    std::vector<Small> small{{0, 0, length / 2.0}};
    const int way = semitones < 0 ? -1 : 1;
    for (int i = 1; i <= between; ++i) // letters by the rule of thumb 7 letters to 12 semitones
        small.push_back({way * i, way * (i * 7 / 12), length / 2.0 / between});
    return small;
}

struct Written {
    std::vector<Small> notes;
    bool slurred = true;
};

Written written_out(const Note& note, const Ornament& ornament, const TempoMap& tempo)
{
    const double length = note.length_quarters;
    const double from_s = tempo.seconds_at(note.start_quarter);
    const double seconds = tempo.seconds_at(note.start_quarter + length) - from_s;
    const auto quick = [&](double s) { return tempo.quarter_at(from_s + s) - note.start_quarter; };
    const int distance = std::max(1, std::abs(ornament.semitones));
    const int below = ornament.semitones_below > 0 ? ornament.semitones_below : 1;
    const auto stroke_count = [&](double unmeasured_per_s) {
        const double count = ornament.strokes > 0
                                 ? length / stroke_quarters(length, std::min(ornament.strokes, 8))
                                 : seconds * unmeasured_per_s;
        return int(std::clamp(std::round(count), 1.0, double(most_notes)));
    };
    switch (ornament.kind) {
    case OrnamentKind::trill:
        return {trill(length, seconds, distance)};
    case OrnamentKind::mordent:
        return {mordent(length, quick(mordent_s), -distance, -1)};
    case OrnamentKind::inverted_mordent:
        return {mordent(length, quick(mordent_s), distance, 1)};
    case OrnamentKind::turn:
        return {turn(length, quick(turn_s), distance, -below, 1)};
    case OrnamentKind::inverted_turn:
        return {turn(length, quick(turn_s), -below, distance, -1)};
    case OrnamentKind::tremolo:
        return {alternate(stroke_count(unmeasured_tongued_per_s), length, 0, 0), false};
    case OrnamentKind::two_note_tremolo:
        return {alternate(std::max(2, stroke_count(unmeasured_slurred_per_s)), length, ornament.semitones,
                          ornament.semitones * 7 / 12)};
    case OrnamentKind::glissando:
    case OrnamentKind::slide:
        if (std::abs(ornament.semitones) > 1)
            return {chromatic_run(length, ornament.semitones)};
        break;
    }
    return {{{0, 0, length}}};
}

} // namespace

void write_out_ornaments(Line& line, const OrnamentPace&)
{
    constexpr std::uint16_t of_the_start = art_accent | art_marcato | art_sforzando | art_forte_piano;
    constexpr std::uint16_t of_the_end = art_breath_after | art_fermata;
    const TempoMap tempo(line.tempo);
    std::vector<Note> result;
    result.reserve(line.notes.size());
    for (const Note& note : line.notes) {
        if (note.ornaments.empty() || note.length_quarters <= 0.0) {
            result.push_back(note);
            continue;
        }
        const Ornament& ornament = note.ornaments.front();
        const bool runs_on = ornament.kind == OrnamentKind::glissando || ornament.kind == OrnamentKind::slide;
        const Written written = written_out(note, ornament, tempo);
        double at = note.start_quarter;
        for (std::size_t i = 0; i < written.notes.size(); ++i) {
            const bool first = i == 0, last = i + 1 == written.notes.size();
            Note small = note;
            small.ornaments.clear();
            small.start_quarter = at;
            small.length_quarters = written.notes[i].quarters;
            at += small.length_quarters;
            shift_pitch(small, written.notes[i].semitones, written.notes[i].letters);
            if (!(first && last)) {
                small.slurred_to_next = last ? note.slurred_to_next || runs_on : written.slurred;
                small.articulations = std::uint16_t((first ? note.articulations & of_the_start : 0) |
                                                    (last ? note.articulations & of_the_end : 0));
                if (!written.slurred) // repeated by the tongue: each as short as the mark says
                    small.articulations |= note.articulations & (art_staccato | art_staccatissimo);
            }
            result.push_back(small);
        }
    }
    if (!result.empty() && result.back().slurred_to_next &&
        result.back().source.id == line.notes.back().source.id)
        result.back().slurred_to_next = line.notes.back().slurred_to_next;
    line.notes = std::move(result);
}

} // namespace canebrake
