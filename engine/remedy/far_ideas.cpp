// SPDX-License-Identifier: MIT
// Remedies that change who plays, on what, or which notes.
#include "engine/remedy/ideas.h"

#include "engine/plan/slur_speed.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace canebrake
{
namespace
{

/// Whether the same notes elsewhere would be as hard.
bool not_of_the_pitch(Cause cause)
{
    return cause == Cause::breath || cause == Cause::tongue || cause == Cause::endurance ||
           cause == Cause::colour;
}

/// The quarter that a beat lasts where a note stands.
double beat_at(const Line& line, std::size_t note)
{
    const auto bar = std::size_t(std::max(0, line.notes[note].source.bar_index));
    if (bar >= line.bars.size())
        return 1.0;
    const bool compound = line.bars[bar].beats > 3 && line.bars[bar].beats % 3 == 0;
    return (compound ? 12.0 : 4.0) / line.bars[bar].beat_type;
}

void add_hand_over(std::vector<Idea>& ideas, std::string what, std::string price, double extra,
                   std::function<TwoLines(const Line&, NoteRange)> share)
{
    ideas.push_back({ChangeKind::hand_over,
                     std::move(what),
                     std::move(price),
                     extra,
                     [share = std::move(share)](const Line& line, NoteRange place) {
                         TwoLines two = share(line, place);
                         return std::vector<Line>{std::move(two.first), std::move(two.second)};
                     },
                     {}});
}

/// A trill's or tremolo's own note.
std::size_t main_note(const Subject& s)
{
    return s.p.printed(s.spot.from).source.number;
}

const Ornament* ornament_of(const Subject& s, OrnamentKind kind)
{
    for (const Ornament& ornament : s.line.notes[main_note(s)].ornaments)
        if (ornament.kind == kind)
            return &ornament;
    return nullptr;
}

std::string interval_word(int semitones)
{
    return semitones == 1 ? "semitone" : semitones == 2 ? "whole tone" : "third";
}

/// The first player up to the first note, a second from there.
void share_between_the_notes(const Subject& s, std::vector<Idea>& ideas)
{
    if (s.long_spot() || s.place.from == s.place.to)
        return;
    add_hand_over(ideas,
                  fmt::format("share it: the first player ends on {}, a second takes {} and the rest of the "
                              "phrase",
                              s.name(s.spot.from), s.name(s.spot.to)),
                  "a second player; the joint is between the two notes", 0.0,
                  [](const Line& whole, NoteRange place) {
                      const NoteRange phrase = phrase_around(whole, place);
                      return handed_over(whole, {place.to, phrase.to}, false);
                  });
}

void share_by_height(const Subject& s, std::vector<Idea>& ideas)
{
    if (s.spot.cause == Cause::tremolo && ornament_of(s, OrnamentKind::two_note_tremolo) != nullptr)
        return; // the other note is not on the page
    double low = 200.0, high = 0.0;
    for (std::size_t i = s.place.from; i <= s.place.to; ++i) {
        low = std::min(low, s.line.notes[i].sounding.number);
        high = std::max(high, s.line.notes[i].sounding.number);
    }
    add_hand_over(ideas, "share it: one player keeps the low notes, a second the high ones",
                  "a second player; every note gets a stroke", 0.5,
                  [middle = (low + high) / 2.0](const Line& whole, NoteRange place) {
                      return shared_by_height(whole, place, middle);
                  });
}

void share_beat_by_beat(const Subject& s, std::vector<Idea>& ideas)
{
    add_hand_over(ideas, "share it beat by beat, each player ending on the other's first note",
                  "a second player", 0.3,
                  [beat = beat_at(s.line, s.place.from)](const Line& whole, NoteRange place) {
                      return in_turns(whole, phrase_around(whole, place, 400), beat);
                  });
}

void hand_over_halfway(const Subject& s, std::vector<Idea>& ideas)
{
    if (s.place.to - s.place.from < 2)
        return;
    const double start = s.quarter(s.place.from), end = s.quarter(s.place.to);
    std::size_t at = (s.place.to - s.place.from + 1) / 2;
    for (std::size_t i = s.place.from + 1; i < s.place.to; ++i)
        if (s.quarter(i) <= (start + end) / 2.0)
            at = i - s.place.from;
    add_hand_over(ideas,
                  fmt::format("hand over in bar {}: a second player joins on the note there and goes on",
                              s.line.notes[s.place.from + at].source.bar),
                  "a second player; one note is played by both", 0.0,
                  [at](const Line& whole, NoteRange place) {
                      return handed_over(whole, {place.from + at, place.to}, true);
                  });
}

/// Something else than is printed on one note.
void add_other_note(std::vector<Idea>& ideas, std::string what, std::string price, double extra,
                    std::function<Line(Line, std::size_t)> change)
{
    ideas.push_back({ChangeKind::notes,
                     std::move(what),
                     std::move(price),
                     extra,
                     [change = std::move(change)](const Line& line, NoteRange place) {
                         return std::vector<Line>{change(line, place.from)};
                     },
                     {}});
}

void add_in_measure(std::vector<Idea>& ideas, const char* what)
{
    for (const double per_quarter : {4.0, 3.0, 2.0})
        add_other_note(ideas,
                       fmt::format("write it out as a measured {} in {}", what,
                                   per_quarter == 4.0   ? "sixteenths"
                                   : per_quarter == 3.0 ? "triplets"
                                                        : "eighths"),
                       "it is slower and counted", 0.4 * (4.0 - per_quarter),
                       [per_quarter](Line line, std::size_t note) {
                           return measured(std::move(line), note, per_quarter);
                       });
}

void trill_ideas(const Subject& s, std::vector<Idea>& ideas)
{
    const Ornament* trill = ornament_of(s, OrnamentKind::trill);
    if (trill == nullptr)
        return;
    const int other = std::abs(trill->semitones) == 1 ? 2 : 1;
    add_other_note(ideas, fmt::format("trill with the {} above", interval_word(other)),
                   "another note in the harmony", -2.0,
                   [other](Line line, std::size_t note) { return trill_by(std::move(line), note, other); });
    if (trill->start.value_or(OrnamentStart::main) != OrnamentStart::upper)
        add_other_note(ideas, "begin the trill from above", "it begins with the other note", -3.0,
                       [](Line line, std::size_t note) { return trill_from_above(std::move(line), note); });
    add_in_measure(ideas, "trill");
}

void slide_ideas(const Subject& s, std::vector<Idea>& ideas)
{
    const bool slide = ornament_of(s, OrnamentKind::slide) != nullptr;
    const auto without = [&](OrnamentKind kind, const char* what, const char* price) {
        add_other_note(ideas, what, price, -1.0, [kind](Line line, std::size_t note) {
            return without_ornament(std::move(line), note, kind);
        });
    };
    if (!slide) {
        without(OrnamentKind::glissando, "slur it without the run", "the run goes");
        return;
    }
    add_other_note(ideas, "play a run of semitones instead of the slide",
                   "steps are heard instead of a slide", -2.0,
                   [](Line line, std::size_t note) { return slide_as_run(std::move(line), note); });
    without(OrnamentKind::slide, "slur it without the slide", "the slide goes");
}

std::string up_or_down(int semitones)
{
    static constexpr const char* sizes[] = {"", "a semitone", "a whole tone", "a minor third"};
    return fmt::format("{} {}", sizes[std::size_t(std::abs(semitones))], semitones > 0 ? "higher" : "lower");
}

bool owned(const Kit& kit, const std::string& name)
{
    return std::find(kit.instruments.begin(), kit.instruments.end(), name) != kit.instruments.end();
}

} // namespace

void shared_ideas(const Subject& s, std::vector<Idea>& ideas)
{
    switch (s.spot.cause) {
    case Cause::leap:
    case Cause::hanging:
    case Cause::crossing:
    case Cause::little_finger:
    case Cause::contrary:
        share_between_the_notes(s, ideas);
        return;
    case Cause::rocking:
    case Cause::tremolo:
        share_by_height(s, ideas);
        return;
    case Cause::tongue:
        share_beat_by_beat(s, ideas);
        return;
    case Cause::breath:
    case Cause::endurance:
        hand_over_halfway(s, ideas);
        return;
    default:
        return;
    }
}

void ornament_ideas(const Subject& s, std::vector<Idea>& ideas)
{
    switch (s.spot.cause) {
    case Cause::trill:
        trill_ideas(s, ideas);
        return;
    case Cause::tremolo:
    case Cause::speech:
        if (ornament_of(s, OrnamentKind::two_note_tremolo) != nullptr)
            add_in_measure(ideas, "tremolo");
        return;
    case Cause::slide:
        slide_ideas(s, ideas);
        return;
    case Cause::flutter:
        add_other_note(
            ideas, "play it without flutter-tongue", "the flutter goes", -1.0,
            [](Line line, std::size_t note) { return without_marks(std::move(line), note, art_flutter); });
        return;
    default:
        return;
    }
}

void instrument_ideas(const Subject& s, std::vector<Idea>& ideas)
{
    switch (s.spot.cause) {
    case Cause::breath:
    case Cause::tongue:
    case Cause::endurance:
    case Cause::flutter:
    case Cause::colour:
        return; // the same on each of the sopranos
    default:
        break;
    }
    const Instrument& now = s.p.instrument();
    const Kit& kit = s.p.settings.kit;
    std::vector<std::string> names;
    if (now.transposition <= -7) // a low one: its high notes lie well on a soprano
        names = {"B-flat", "A", "bass"};
    else
        names = {"B-flat", "A", "C", "E-flat", "bass"};
    std::erase(names, now.name);
    std::stable_partition(names.begin(), names.end(),
                          [&](const std::string& name) { return owned(kit, name); });
    for (const std::string& name : names) {
        if (!has_model(name))
            continue;
        // A bass is for what lies too low.
        int lowest = 200;
        for (std::size_t i = s.spot.from; i <= s.spot.to; ++i)
            lowest = std::min(lowest, s.p.written(i));
        if (name == "bass" && (s.spot.cause != Cause::range || lowest > 60))
            continue;
        const FamilyMember& member = *member_named(name);
        std::string price = "the same notes in another colour; time to change instruments";
        if (!owned(kit, name))
            price += ", and the player may not own one";
        ideas.push_back({ChangeKind::instrument,
                         "play the passage on the " + member.title,
                         price,
                         owned(kit, name) ? 0.0 : 2.5,
                         {},
                         name});
    }
}

void octave_ideas(const Subject& s, std::vector<Idea>& ideas)
{
    if (not_of_the_pitch(s.spot.cause))
        return;
    for (const int semitones : {-12, 12})
        ideas.push_back({ChangeKind::octave,
                         fmt::format("play the phrase an octave {}", semitones > 0 ? "higher" : "lower"),
                         "the phrase in another register",
                         0.0,
                         [semitones](const Line& line, NoteRange place) {
                             return std::vector<Line>{moved(line, phrase_around(line, place), semitones)};
                         },
                         {}});
}

void transposing_ideas(const Subject& s, std::vector<Idea>& ideas)
{
    if (not_of_the_pitch(s.spot.cause))
        return;
    for (const int semitones : {-1, 1, -2, 2, -3, 3})
        ideas.push_back({ChangeKind::notes,
                         fmt::format("move the passage {}", up_or_down(semitones)),
                         "another key; the other parts must move too",
                         0.3 * std::abs(semitones),
                         [semitones](const Line& line, NoteRange place) {
                             return std::vector<Line>{moved(line, phrase_around(line, place, 60), semitones)};
                         },
                         {}});
}

} // namespace canebrake
