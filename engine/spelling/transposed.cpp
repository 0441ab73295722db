// SPDX-License-Identifier: MIT
#include "engine/spelling/transposed.h"

#include "engine/spelling/key.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace canebrake
{

namespace
{

/// Sharps minus flats on the notes in [first, last): the side they are written on.
int lean_of(const Line& line, std::size_t first, std::size_t last)
{
    int lean = 0;
    for (std::size_t i = first; i < last; ++i)
        lean += line.notes[i].printed_alter;
    return lean;
}

/// Letters between a note and the other note of its ornament that many semitones off, read in a key; kept
/// while the interval is one that has a name with at most one accidental.
void mend_letters(Note& note)
{
    for (Ornament& ornament : note.ornaments) {
        if (!ornament.letters)
            continue;
        const int step = note.printed_step + *ornament.letters;
        const int other =
            natural_semitones[std::size_t(positive_mod(step, 7))] + 12 * int(std::floor(step / 7.0));
        const int alter = natural_semitones[std::size_t(positive_mod(note.printed_step, 7))] +
                          note.printed_alter + ornament.semitones - other;
        if (ornament.kind == OrnamentKind::two_note_tremolo || ornament.kind == OrnamentKind::glissando ||
            ornament.kind == OrnamentKind::slide)
            if (std::abs(alter) > 1)
                ornament.letters.reset();
    }
}

/// From here to the next one all notes move by the same number of semitones, out of one key.
struct Stretch {
    double quarter = 0.0;
    std::size_t first = 0, last = 0; // notes
    int key = 0, semitones = 0;
};

std::vector<Stretch> stretches_of(const Line& line, const std::vector<int>& semitones)
{
    std::vector<Stretch> stretches;
    std::size_t i = 0;
    const auto up_to = [&](double quarter, double from, int key) {
        // A signature moves as the next note does.
        int by = semitones.empty() ? 0 : semitones[std::min(i, semitones.size() - 1)];
        stretches.push_back({from, i, i, key, by});
        for (; i < line.notes.size() && line.notes[i].start_quarter < quarter - 1e-9; ++i) {
            if (semitones[i] != by) {
                by = semitones[i];
                stretches.push_back({line.notes[i].start_quarter, i, i, key, by});
            }
            stretches.back().last = i + 1;
        }
    };
    constexpr double never = 1e300;
    if (line.keys.front().quarter > 1e-9 && !line.notes.empty() &&
        line.notes.front().start_quarter < line.keys.front().quarter - 1e-9)
        up_to(line.keys.front().quarter, 0.0, 0);
    for (std::size_t k = 0; k < line.keys.size(); ++k)
        up_to(k + 1 < line.keys.size() ? line.keys[k + 1].quarter : never, line.keys[k].quarter,
              line.keys[k].fifths);
    return stretches;
}

void estimate_and_name(Line& line, const SpellingOptions& options)
{
    std::vector<KeyTone> tones;
    for (const Note& note : line.notes)
        tones.push_back({note.printed, std::max(note.length_quarters, 0.05)});
    const auto key = estimate_key(tones);
    line.keys.clear();
    if (key && key->correlation >= 0.45)
        line.keys = {{0.0, transposed_key(key->fifths, 0, lean_of(line, 0, line.notes.size()))}};
    respell(line.notes, line.keys, options);
}

} // namespace

std::vector<int> transposition_of_notes(const Line& line)
{
    const auto shift = [](const Note& note) { return note.sounding.number - note.printed; };
    const auto whole = [&](const Note& note) { return shift(note) == std::round(shift(note)); };
    std::vector<int> result;
    const auto first = std::find_if(line.notes.begin(), line.notes.end(), whole);
    int now = first != line.notes.end() ? int(shift(*first))
              : line.notes.empty()      ? 0
                                        : int(std::trunc(shift(line.notes[0])));
    for (const Note& note : line.notes)
        result.push_back(now = whole(note) ? int(shift(note)) : now);
    return result;
}

Line transpose_line(const Line& line, int new_transposition, const SpellingOptions& options)
{
    Line result = line;
    result.written_known = true;
    std::vector<int> semitones = transposition_of_notes(line);
    bool moves = false;
    for (std::size_t i = 0; i < semitones.size(); ++i) {
        semitones[i] -= new_transposition;
        result.notes[i].printed += semitones[i];
        moves = moves || semitones[i] != 0;
    }
    if (!moves)
        return result;
    if (line.keys.empty()) {
        estimate_and_name(result, options);
        for (Note& note : result.notes)
            mend_letters(note);
        return result;
    }

    result.keys.clear();
    std::vector<bool> anew(line.notes.size(), false);
    for (const Stretch& stretch : stretches_of(line, semitones)) {
        const int key = stretch.semitones == 0 ? stretch.key
                                               : transposed_key(stretch.key, stretch.semitones,
                                                                lean_of(line, stretch.first, stretch.last));
        if (!result.keys.empty() && result.keys.back().quarter == stretch.quarter)
            result.keys.pop_back();
        if (result.keys.empty() ? stretch.quarter <= 1e-9 || key != 0 : result.keys.back().fifths != key)
            result.keys.push_back({stretch.quarter, key});
        for (std::size_t i = stretch.first; i < stretch.last; ++i) {
            Note& note = result.notes[i];
            const int place = fifths_of(printed_name(line.notes[i])) + key - stretch.key;
            const NoteName name = name_at(place);
            note.printed_step = name.step;
            note.printed_alter = name.alter;
            const bool other_pitch = positive_mod(7 * place - note.printed, 12) != 0; // it was misnamed
            anew[i] = other_pitch || std::abs(name.alter) > 2 ||
                      (std::abs(name.alter) == 2 && (options.plain || !proper_double_sharp(place, key)));
        }
    }
    respell_some(result.notes, result.keys, anew, options);
    for (Note& note : result.notes)
        mend_letters(note);
    return result;
}

} // namespace canebrake
