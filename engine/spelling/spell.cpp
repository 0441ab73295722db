// SPDX-License-Identifier: MIT
#include "engine/spelling/spell.h"

#include "engine/spelling/key.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <limits>

namespace canebrake
{

namespace
{

// Places −15 … +19 hold every name up to double accidentals; without them −8 … +12.
constexpr int flattest = -8, sharpest = 12;

/// The signature at a note, and the middle of the names that its key likes.
struct LocalKey {
    int fifths = 0;
    double middle = 2.1;
};

// The chromatic notes of a major key lie evenly about its second degree (C: D); a minor key's raised notes
// pull the middle towards the sharps.
constexpr double major_middle = 2.1, minor_middle = 3.5;

std::vector<LocalKey> local_keys(std::span<const Note> notes, std::span<const KeyPoint> keys)
{
    std::vector<LocalKey> local(notes.size());
    std::vector<KeyTone> tones;
    std::size_t first = 0, key = 0;
    const auto close_stretch = [&](std::size_t end, int fifths) {
        const bool minor =
            key_correlation(tones, fifths, true) > key_correlation(tones, fifths, false) + 1e-9;
        for (; first < end; ++first)
            local[first] = {fifths, fifths + (minor ? minor_middle : major_middle)};
        tones.clear();
    };
    int fifths = 0;
    for (std::size_t i = 0; i < notes.size(); ++i) {
        for (; key < keys.size() && keys[key].quarter <= notes[i].start_quarter + 1e-9; ++key) {
            if (keys[key].fifths != fifths)
                close_stretch(i, fifths);
            fifths = keys[key].fifths;
        }
        tones.push_back({notes[i].printed, std::max(notes[i].length_quarters, 0.05)});
    }
    close_stretch(notes.size(), fifths);
    return local;
}

double note_cost(int place, const LocalKey& key)
{
    if (in_signature(place, key.fifths))
        return 0.0;
    const int above = place - key.fifths;
    double cost = 0.2 + 0.03 * std::abs(place - key.middle);
    if (above < -6 || above > 10)
        cost += 2.0; // the key has a plain name for this pitch
    if (place > sharpest)
        cost += 0.3;
    // E♯, B♯, C♭ and F♭ are read as strangers unless they lead to a minor tonic.
    const bool stranger = place == 11 || place == 12 || place == -7 || place == -8;
    if (stranger && above != 8)
        cost += 0.5;
    return cost;
}

double step_cost(int from, int to, int semitones, const LocalKey& key)
{
    // 0 … 12 apart: unison, fifth, major second, minor third, major third, minor second, tritone; then
    // chromatic semitone, diminished fourth, augmented second, diminished third, …, the same pitch twice.
    constexpr std::array<double, 13> costs{0, 0, 0, 0, 0, 0, 0.1, 0.8, 0.7, 0.6, 1.5, 2.0, 3.0};
    const int apart = std::abs(to - from);
    if (apart == 7 && std::abs(semitones) == 1) // it may be come to, but should not be left so
        return in_signature(from, key.fifths) ? 0.4 : 1.0;
    return costs[std::size_t(std::min(apart, 12))];
}

/// How much a note has to do with the one before it.
double nearness(const Note& before, const Note& note)
{
    const double gap = note.start_quarter - before.start_quarter - before.length_quarters;
    return gap < 0.01 ? 1.0 : gap < 4.0 ? 0.5 : 0.0;
}

std::vector<int> names_for(int number, const LocalKey& key, bool plain)
{
    std::vector<int> places;
    const int natural = positive_mod(7 * number, 12);
    for (int place = natural - 24; place <= natural + 12; place += 12)
        if ((place >= flattest && place <= sharpest) ||
            (place > sharpest && !plain && proper_double_sharp(place, key.fifths)))
            places.push_back(place);
    std::reverse(places.begin(), places.end()); // sharp first: it takes a tie
    return places;
}

} // namespace

NoteName printed_name(const Note& note)
{
    return {note.printed_step, note.printed_alter};
}

bool proper_double_sharp(int fifths, int key)
{
    if (name_at(fifths).alter != 2 || key < 5)
        return false;
    return fifths == key + 8 || (key == 7 && fifths == key + 6);
}

void respell(std::span<Note> notes, std::span<const KeyPoint> keys, const SpellingOptions& options)
{
    respell_some(notes, keys, std::vector<bool>(notes.size(), true), options);
}

void respell_some(std::span<Note> notes, std::span<const KeyPoint> keys, const std::vector<bool>& which,
                  const SpellingOptions& options)
{
    struct Choice {
        int place = 0;
        double cost = 0.0;
        std::size_t before = 0;
    };
    if (notes.empty())
        return;
    const std::vector<LocalKey> local = local_keys(notes, keys);
    std::vector<std::vector<Choice>> choices(notes.size());
    for (std::size_t i = 0; i < notes.size(); ++i) {
        const bool free = i < which.size() && which[i];
        const std::vector<int> places = free ? names_for(notes[i].printed, local[i], options.plain)
                                             : std::vector<int>{fifths_of(printed_name(notes[i]))};
        for (const int place : places) {
            Choice choice{place, 0.0, 0};
            if (i > 0) {
                double cheapest = std::numeric_limits<double>::infinity();
                const double near = nearness(notes[i - 1], notes[i]);
                const int semitones = notes[i].printed - notes[i - 1].printed;
                for (std::size_t b = 0; b < choices[i - 1].size(); ++b) {
                    const Choice& before = choices[i - 1][b];
                    const double cost =
                        before.cost + near * step_cost(before.place, place, semitones, local[i - 1]);
                    if (cost < cheapest - 1e-12) {
                        cheapest = cost;
                        choice.before = b;
                    }
                }
                choice.cost = cheapest;
            }
            choice.cost += note_cost(place, local[i]);
            choices[i].push_back(choice);
        }
    }
    std::size_t best = 0;
    for (std::size_t c = 1; c < choices.back().size(); ++c)
        if (choices.back()[c].cost < choices.back()[best].cost - 1e-12)
            best = c;
    for (std::size_t i = notes.size(); i-- > 0;) {
        const NoteName name = name_at(choices[i][best].place);
        notes[i].printed_step = name.step;
        notes[i].printed_alter = name.alter;
        best = choices[i][best].before;
    }
}

} // namespace canebrake
