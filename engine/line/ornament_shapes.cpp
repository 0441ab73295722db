// SPDX-License-Identifier: MIT
#include "engine/line/ornament_shapes.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace canebrake
{

// Ornaments as players of today take them (common practice, no source, where the file says nothing):
//   trill          from the main note back to it; a closing turn adds the note below and the main note
//   mordent        at the beginning of whatever the note does otherwise
//   turn           four quick notes at the beginning, or, delayed, at the end of the note
//   tremolo        measured: as many strokes as the beams say; else as quick as the tongue
//   two notes      three beams and more say "quick" and are never taken quicker than the fingers go
//   glissando      the last half of the note in semitones, a little quicker towards the goal
//   slide          late: the last half, at most half a second
namespace
{

constexpr double trill_notes_per_s = 9.0;
constexpr double tremolo_notes_per_s = 12.0;
constexpr double hurried = 14.0 / 9.0;                  // a trill on a short note may be this much quicker
constexpr double slowest_trill_per_s = 4.0;             // "beats" that make it slower than this are a default
constexpr double accelerating_from = 0.5;               // of the speed at the end
constexpr int most_notes = 4096;                        // a bound against nonsense lengths
constexpr double longest_run_share = 0.9;               // of its note
constexpr double run_slows = 1.25, run_quickens = 0.75; // first and last step of a glissando

/// Length of one stroke by the shape of the note: a quarter has no flag, an eighth one; tuplets are found by
/// their ratio; strokes add to the flags.
double stroke_by_length(double length_quarters, int strokes)
{
    for (const double tuplet : {1.0, 3.0 / 2.0, 5.0 / 4.0, 7.0 / 4.0})
        for (const double dots : {1.0, 1.5, 1.75}) {
            const double octave = std::log2(length_quarters * tuplet / dots);
            if (std::abs(octave - std::round(octave)) < 1e-6)
                return std::ldexp(1.0, -(std::max(0, -int(std::lround(octave))) + strokes)) / tuplet;
        }
    const int flags = length_quarters >= 1.0 ? 0 : int(std::ceil(-std::log2(length_quarters) - 1e-9));
    return std::ldexp(1.0, -(flags + strokes));
}

/// Everything about one note that the shapes below ask for.
struct Shaping {
    const Note& note;
    const OrnamentPace& pace;
    const Surroundings& around;
    double length;  ///< quarters
    double seconds; ///< the same

    double quarters(double s) const { return seconds > 0.0 ? length * s / seconds : 0.0; }

    double notes_per_s(const Ornament& ornament, double otherwise) const
    {
        const double asked = pace.trill_notes_per_s ? pace.trill_notes_per_s(note, ornament) : otherwise;
        return std::isfinite(asked) && asked > 0.0 ? std::min(asked, 50.0) : otherwise;
    }
};

int distance_above(const Ornament& ornament)
{
    return std::max(1, std::abs(ornament.semitones));
}
int distance_below(const Ornament& ornament)
{
    return std::max(1, ornament.semitones_below);
}

Small main_note(OrnamentKind kind, double quarters)
{
    return {kind, 0, 0, 0, quarters};
}
Small upper_note(const Ornament& ornament, double quarters)
{
    return {ornament.kind, 1, distance_above(ornament), 1, quarters};
}
Small lower_note(const Ornament& ornament, double quarters)
{
    return {ornament.kind, -1, -distance_below(ornament), -1, quarters};
}

std::vector<Small> trilled_notes(const Shaping& s, const Ornament& ornament, bool closing)
{
    OrnamentStart start = ornament.start.value_or(OrnamentStart::main);
    // A grace note of the pitch the trill would begin with has begun it already.
    if (start == OrnamentStart::upper && s.around.grace_before &&
        s.around.grace_before->number == s.note.sounding.number + distance_above(ornament))
        start = OrnamentStart::main;
    closing = closing && !s.around.closing_graces;

    const double rate = s.notes_per_s(ornament, trill_notes_per_s);
    const double most = s.seconds * rate * hurried;
    const double mean = ornament.accelerate ? rate * (1.0 + accelerating_from) / 2.0 : rate;
    // Alternations end on the main note: an odd count from it, an even one from above.
    const bool from_above = start == OrnamentStart::upper;
    const int least = from_above ? 2 : 3;
    int before = start == OrnamentStart::below ? 1 : 0, after = closing ? 2 : 0;
    int count = 0;
    if (ornament.beats >= slowest_trill_per_s * s.seconds && ornament.beats + after <= most)
        count = std::max(2, ornament.beats - before);
    else {
        count = int(std::lround(std::min(s.seconds * mean, double(most_notes)))) - before - after;
        count = std::clamp(count % 2 == least % 2 ? count : count + 1, least, most_notes - 1);
        if (count + before + after > most)
            count = least;
        if (count + before + after > most)
            before = after = 0;
        if (count > most)
            return {main_note(ornament.kind, s.length)};
    }

    std::vector<Small> small;
    if (before)
        small.push_back(lower_note(ornament, 0.0));
    for (int i = 0; i < count; ++i)
        small.push_back((i % 2 == 0) == from_above ? upper_note(ornament, 0.0)
                                                   : main_note(ornament.kind, 0.0));
    if (after) {
        small.push_back(lower_note(ornament, 0.0));
        small.push_back(main_note(ornament.kind, 0.0));
    }
    // Speed rises evenly from a = accelerating_from to 1: notes by time x are (a·x + (1 − a)·x²/2)/(1 + a)·2,
    // which is solved for x.
    constexpr double a = accelerating_from;
    const auto place = [&](std::size_t i) {
        const double part = double(i) / double(small.size());
        return ornament.accelerate ? (std::sqrt(a * a + (1.0 - a * a) * part) - a) / (1.0 - a) : part;
    };
    for (std::size_t i = 0; i < small.size(); ++i)
        small[i].quarters = s.length * (place(i + 1) - place(i));
    return small;
}

std::vector<Small> turned_notes(const Shaping& s, const Ornament& ornament)
{
    const double quick = std::min(s.quarters(s.pace.turn_note_s), s.length / (ornament.delayed ? 6.0 : 4.0));
    const bool from_main = ornament.start == OrnamentStart::main && !ornament.delayed;
    const double turned = quick * (from_main ? 4.0 : 3.0);
    std::vector<Small> small;
    if (ornament.delayed)
        small.push_back(main_note(ornament.kind, s.length - 4.0 * quick));
    else if (from_main)
        small.push_back(main_note(ornament.kind, quick));
    const Small up = upper_note(ornament, quick), down = lower_note(ornament, quick);
    const bool inverted = ornament.kind == OrnamentKind::inverted_turn;
    small.push_back(inverted ? down : up);
    small.push_back(main_note(ornament.kind, quick));
    small.push_back(inverted ? up : down);
    small.push_back(main_note(ornament.kind, ornament.delayed ? quick : s.length - turned));
    return small;
}

int stroke_count(const Shaping& s, const Ornament& ornament)
{
    const int strokes = std::min(ornament.strokes, 8);
    const double stroke =
        ornament.stroke_quarters > 0.0 ? ornament.stroke_quarters : stroke_by_length(s.length, strokes);
    return int(std::clamp(std::round(s.length / stroke), 1.0, double(most_notes)));
}

std::vector<Small> tongued_notes(const Shaping& s, const Ornament& ornament)
{
    const double fastest =
        s.note.articulations & art_double_tongue ? s.pace.double_tongued_per_s : s.pace.tongued_per_s;
    const int count = ornament.strokes > 0
                          ? stroke_count(s, ornament)
                          : int(std::clamp(std::round(s.seconds * fastest), 1.0, double(most_notes)));
    Small stroke = main_note(ornament.kind, s.length / count);
    stroke.tongued_after = true;
    return std::vector<Small>(std::size_t(count), stroke);
}

std::vector<Small> rocked_notes(const Shaping& s, const Ornament& ornament)
{
    int count = ornament.strokes > 0 ? stroke_count(s, ornament) : most_notes;
    if (ornament.strokes == 0 || ornament.strokes >= 3) {
        const double pairs = s.seconds * s.notes_per_s(ornament, tremolo_notes_per_s) / 2.0;
        count = std::min(count, int(2.0 * std::clamp(std::round(pairs), 1.0, most_notes / 2.0)));
    }
    count = std::max(2, count);
    const Small main = main_note(ornament.kind, s.length / count);
    const Small other{ornament.kind, 1, ornament.semitones, ornament.letters, s.length / count};
    std::vector<Small> small;
    for (int i = 0; i < count; ++i)
        small.push_back(i % 2 ? other : main);
    return small;
}

/// Puts a mordent at the beginning: it takes its time from the first small note.
void add_mordent(const Shaping& s, const Ornament& ornament, std::vector<Small>& small)
{
    if (small.empty() || small.front().semitones != 0)
        return;
    const int quick_notes = ornament.extended ? 4 : 2;
    const double quick =
        std::min(s.quarters(s.pace.quick_note_s), small.front().quarters / (quick_notes + 2));
    const bool down = ornament.kind == OrnamentKind::mordent;
    const Small main = main_note(ornament.kind, quick);
    const Small other{ornament.kind, down ? -1 : 1,
                      down ? -distance_above(ornament) : distance_above(ornament), down ? -1 : 1, quick};
    small.front().quarters -= quick_notes * quick;
    if (small.front().kind != OrnamentKind::trill) // the note it comes back to is its own
        small.front().kind = ornament.kind;
    for (int i = 0; i < quick_notes; i += 2)
        small.insert(small.begin(), {main, other});
}

double run_share(const Shaping& s, const Ornament& run)
{
    if (s.seconds <= 0.0)
        return 0.5;
    if (run.kind == OrnamentKind::slide)
        return std::min(0.5, s.pace.longest_slide_s / s.seconds);
    const double needed = (std::abs(run.semitones) - 1) / s.pace.run_notes_per_s / s.seconds;
    return std::clamp(needed, 0.5, longest_run_share);
}

void add_run(const Ornament& run, double room, std::vector<Small>& small)
{
    const int between = std::min(std::abs(run.semitones) - 1, most_notes);
    const bool even = run.kind == OrnamentKind::slide;
    const int way = run.semitones < 0 ? -1 : 1;
    for (int i = 1; i <= between; ++i) {
        const double part = between > 1 ? double(i - 1) / (between - 1) : 0.5;
        const double weight = even ? 1.0 : run_slows + (run_quickens - run_slows) * part;
        small.push_back({run.kind, i, way * i, std::nullopt, room * weight / between});
    }
}

} // namespace

std::vector<Small> small_notes(const Note& note, const TempoMap& tempo, const OrnamentPace& pace,
                               const Surroundings& around)
{
    const auto find = [&](auto... kinds) -> const Ornament* {
        for (const Ornament& ornament : note.ornaments)
            if (((ornament.kind == kinds) || ...))
                return &ornament;
        return nullptr;
    };
    using enum OrnamentKind;
    const bool fluttered = note.articulations & art_flutter; // the tongue has no strokes to spare
    const Ornament* run = find(slide) ? find(slide) : find(glissando);
    const Ornament* mordented = find(mordent, inverted_mordent);
    const Ornament* turned = find(turn, inverted_turn);
    const Ornament* trilled = find(trill);
    const Ornament* two_note = find(two_note_tremolo);
    const Ornament* tremoloed = fluttered ? nullptr : find(tremolo);
    if (run && run->semitones == 0)
        run = nullptr;

    const double seconds =
        tempo.seconds_at(note.start_quarter + note.length_quarters) - tempo.seconds_at(note.start_quarter);
    Shaping s{note, pace, around, note.length_quarters, seconds};
    const double room = run && std::abs(run->semitones) > 1 ? s.length * run_share(s, *run) : 0.0;
    if (room > 0.0) {
        s.seconds *= 1.0 - room / s.length;
        s.length -= room;
    }
    std::vector<Small> small;
    if (two_note)
        small = rocked_notes(s, *two_note);
    else if (trilled)
        small = trilled_notes(s, *trilled,
                              trilled->closing_turn || turned); // trill and turn: a turn to close with
    else if (turned)
        small = turned_notes(s, *turned);
    else if (tremoloed)
        small = tongued_notes(s, *tremoloed);
    else
        small = {main_note(run ? run->kind : mordented ? mordented->kind : trill, s.length)};
    if (mordented)
        add_mordent(s, *mordented, small);
    if (room > 0.0)
        add_run(*run, room, small);
    return small;
}

} // namespace canebrake
