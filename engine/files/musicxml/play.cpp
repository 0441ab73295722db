// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/play.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

namespace canebrake::musicxml
{

namespace
{

constexpr std::uint16_t marks_of_the_attack = art_accent | art_marcato;

/// A written note at its place in playing order; several may be tied to one Played.
struct Event {
    const WrittenNote* written = nullptr;
    Fraction start;
    int bar = 0, passage = 0;
    std::size_t played = 0;
};

std::vector<Event> events_in_order(const WrittenPart& part, const std::vector<int>& order,
                                   const std::vector<Fraction>& bar_starts)
{
    std::vector<Event> events;
    int passage = 0;
    for (std::size_t k = 0; k < order.size(); ++k) {
        passage += k > 0 && order[k] != order[k - 1] + 1;
        if (std::size_t(order[k]) >= part.bars.size())
            continue;
        for (const WrittenNote& written : part.bars[std::size_t(order[k])].notes)
            events.push_back({&written, bar_starts[k] + written.start, int(k), passage, 0});
    }
    // Within one spot the document's order stays, so that grace notes precede their main note.
    std::stable_sort(events.begin(), events.end(),
                     [](const Event& a, const Event& b) { return a.start < b.start; });
    return events;
}

void add_tied(Played& note, const WrittenNote& more)
{
    note.note.articulations |= more.note.articulations & ~marks_of_the_attack;
    for (const Ornament& ornament : more.note.ornaments)
        if (std::none_of(note.note.ornaments.begin(), note.note.ornaments.end(),
                         [&](const Ornament& have) { return have.kind == ornament.kind; }))
            note.note.ornaments.push_back(ornament);
    note.wavy_start |= more.wavy_start;
    note.wavy_stop |= more.wavy_stop;
    note.two_note_start |= more.two_note_start;
    note.glissando_start |= more.glissando_start;
    note.slide_start |= more.slide_start;
}

/// Joins ties: a note that ends one, of the same pitch, where the one that began it stops sounding. Across a
/// repeat this joins into the second ending, too.
std::vector<Played> join_ties(std::vector<Event>& events)
{
    std::vector<Played> played;
    std::map<long, std::vector<std::size_t>> open; // pitch in cents → notes waiting for their tie
    for (Event& event : events) {
        const WrittenNote& written = *event.written;
        const long cents = std::lround(written.note.sounding.number * 100.0);
        const Fraction end = event.start + written.length;
        if (written.tie_stop && !written.note.grace) {
            auto& waiting = open[cents];
            std::erase_if(waiting, [&](std::size_t i) { return played[i].end < event.start; });
            auto found = waiting.end();
            for (auto w = waiting.begin(); w != waiting.end(); ++w)
                if (played[*w].end == event.start &&
                    (found == waiting.end() || played[*w].note.source.voice == written.note.source.voice))
                    found = w;
            if (found != waiting.end()) {
                event.played = *found;
                Played& note = played[*found];
                note.end = end;
                add_tied(note, written);
                if (!written.tie_start)
                    waiting.erase(found);
                continue;
            }
        }
        event.played = played.size();
        Played note;
        note.note = written.note;
        note.start = event.start;
        note.end = end;
        note.bar = event.bar;
        note.passage = event.passage;
        note.note.source.bar_index = event.bar;
        add_tied(note, written);
        note.two_note_stop = written.two_note_stop;
        note.strokes = written.strokes;
        note.stroke_quarters = written.stroke_quarters;
        note.above = written.above;
        if (written.tie_start && !written.note.grace)
            open[cents].push_back(played.size());
        played.push_back(std::move(note));
    }
    return played;
}

/// Slur ends meet in playing order: a slur left open at a jump (into a first ending, say, and not marked
/// again in the second) ends with the last note before the jump.
class Slurs
{
public:
    explicit Slurs(std::vector<Played>& notes) : notes_(notes)
    {
        for (std::size_t i = 0; i < notes.size(); ++i)
            last_of_[{notes[i].passage, notes[i].note.source.voice}] = i;
    }

    void pair(const std::vector<Event>& events, std::vector<std::string>& remarks)
    {
        for (const Event& event : events) {
            const std::string& voice = event.written->note.source.voice;
            for (const SlurEnd& slur : event.written->slurs)
                if (!slur.start)
                    close({slur.number, voice}, event);
            for (const SlurEnd& slur : event.written->slurs)
                if (slur.start)
                    open_[{slur.number, voice}].push_back(
                        {event.played, event.passage, event.written->note.source.bar});
        }
        const int last_passage = notes_.empty() ? 0 : notes_.back().passage;
        std::vector<std::string> unclosed;
        for (const auto& [key, slurs] : open_) {
            for (const Open& slur : slurs) {
                if (slur.passage < last_passage)
                    cover(slur.note, last_of_[{slur.passage, key.second}], key.second, key.second);
                else
                    unclosed.push_back(slur.bar);
            }
        }
        if (!unclosed.empty())
            remarks.push_back("slurs without an end in " + bar_list(unclosed) + " are left out");
        apply();
    }

private:
    using Key = std::pair<int, std::string>; // slur number, voice
    struct Open {
        std::size_t note = 0;
        int passage = 0;
        std::string bar;
    };

    void close(const Key& key, const Event& event)
    {
        auto found = open_.find(key);
        if (found == open_.end() || found->second.empty()) // a slur may end in another voice
            found = std::find_if(open_.begin(), open_.end(), [&](const auto& entry) {
                return entry.first.first == key.first && !entry.second.empty();
            });
        if (found == open_.end() || found->second.back().passage + 1 < event.passage)
            return;
        cover(found->second.back().note, event.played, found->first.second, key.second);
        found->second.pop_back();
    }

    void cover(std::size_t first, std::size_t last, const std::string& voice, const std::string& other_voice)
    {
        if (last <= first)
            return;
        for (const std::string& v : std::set<std::string>{voice, other_voice}) {
            auto& steps = steps_[v];
            steps.resize(notes_.size() + 1);
            ++steps[first];
            --steps[last];
        }
        if (voice != other_voice)
            for (std::size_t i = first; i < last; ++i)
                notes_[i].slur_changes_voice = true;
    }

    void apply()
    {
        for (const auto& [voice, steps] : steps_) {
            int depth = 0;
            for (std::size_t i = 0; i < notes_.size(); ++i) {
                depth += steps[i];
                if (depth > 0 && notes_[i].note.source.voice == voice)
                    notes_[i].slurred = true;
            }
        }
    }

    std::vector<Played>& notes_;
    std::map<Key, std::vector<Open>> open_;
    std::map<std::pair<int, std::string>, std::size_t> last_of_;
    std::map<std::string, std::vector<int>> steps_; // depth of slurs, as differences
};

int distance(const Played& from, const Played& to)
{
    return int(std::lround(to.note.sounding.number - from.note.sounding.number));
}

/// Letter names between two notes as printed, over octaves.
int letters_between(const Note& from, const Note& to)
{
    const auto letter = [](const Note& note) {
        const int step = std::clamp(note.printed_step, 0, 6);
        const double octave =
            (note.printed - note.printed_alter - natural_semitones[std::size_t(step)]) / 12.0;
        return 7 * int(std::lround(octave)) + step;
    };
    return letter(to) - letter(from);
}

/// Two small notes after a trill that go below and back lean on the trill, as its closing turn, and not on
/// the note they stand before.
void find_closing_turns(std::vector<Played>& notes)
{
    struct Behind {
        std::size_t main = 0;
        std::vector<std::size_t> graces;
    };
    std::map<std::string, Behind> last_of; // voice → its last note, and the small ones since
    for (std::size_t i = 0; i < notes.size(); ++i) {
        const std::string& voice = notes[i].note.source.voice;
        if (notes[i].note.grace) {
            if (const auto found = last_of.find(voice); found != last_of.end())
                found->second.graces.push_back(i);
            continue;
        }
        const Behind behind = std::exchange(last_of[voice], {i, {}});
        if (behind.graces.size() != 2)
            continue;
        const Played& trilled = notes[behind.main];
        Played &below = notes[behind.graces[0]], &back = notes[behind.graces[1]];
        const bool closes = std::any_of(trilled.note.ornaments.begin(), trilled.note.ornaments.end(),
                                        [](const Ornament& o) { return o.kind == OrnamentKind::trill; }) &&
                            trilled.end == below.start && !below.note.grace_slashed &&
                            !back.note.grace_slashed && letters_between(trilled.note, below.note) == -1 &&
                            back.note.sounding == trilled.note.sounding;
        if (!closes)
            continue;
        below.note.grace_after = back.note.grace_after = true;
        below.slurred = true;
    }
}

/// What needs the next note of the same voice.
void look_ahead(std::vector<Played>& notes)
{
    std::map<std::string, std::size_t> last_of; // voice → its note before
    struct Wavy {
        int printed, semitones;
    };
    std::map<std::string, Wavy> wavy; // voice → the trill that runs on
    std::vector<bool> gone(notes.size(), false);
    for (std::size_t i = 0; i < notes.size(); ++i) {
        Played& note = notes[i];
        const std::string& voice = note.note.source.voice;
        auto& ornaments = note.note.ornaments;
        const auto trill = std::find_if(ornaments.begin(), ornaments.end(),
                                        [](const Ornament& o) { return o.kind == OrnamentKind::trill; });
        const bool trilled = trill != ornaments.end();
        if (const auto on = wavy.find(voice); !trilled && on != wavy.end())
            ornaments.push_back({OrnamentKind::trill,
                                 on->second.printed == note.note.printed ? on->second.semitones : note.above,
                                 0, 1});
        else if (note.wavy_start && trilled)
            wavy[voice] = {note.note.printed, trill->semitones};
        if (note.wavy_stop)
            wavy.erase(voice);

        const auto last = last_of.find(voice);
        if (last != last_of.end()) {
            Played& before = notes[last->second];
            if (before.two_note_start && note.two_note_stop && before.end == note.start) {
                Ornament rocking{OrnamentKind::two_note_tremolo, distance(before, note), before.strokes, 1,
                                 letters_between(before.note, note.note)};
                rocking.stroke_quarters = before.stroke_quarters;
                before.note.ornaments = {rocking};
                before.end = note.end;
                before.slurred = note.slurred;
                before.note.articulations |= note.note.articulations;
                gone[i] = true;
                continue;
            }
            if ((before.glissando_start || before.slide_start) && before.passage == note.passage)
                before.note.ornaments.push_back(
                    {before.slide_start ? OrnamentKind::slide : OrnamentKind::glissando,
                     distance(before, note), 0, 1, letters_between(before.note, note.note)});
        }
        last_of[voice] = i;
    }
    std::size_t kept = 0;
    for (std::size_t i = 0; i < notes.size(); ++i)
        if (!gone[i]) {
            if (kept != i)
                notes[kept] = std::move(notes[i]);
            ++kept;
        }
    notes.resize(kept);
}

} // namespace

std::vector<Played> play_notes(const WrittenPart& part, const std::vector<int>& order,
                               const std::vector<Fraction>& bar_starts, std::vector<std::string>& remarks)
{
    std::vector<Event> events = events_in_order(part, order, bar_starts);
    std::vector<Played> notes = join_ties(events);
    Slurs(notes).pair(events, remarks);
    look_ahead(notes);
    find_closing_turns(notes);
    return notes;
}

} // namespace canebrake::musicxml
