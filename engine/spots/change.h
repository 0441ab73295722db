// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <array>
#include <cstddef>
#include <string>
#include <utility>
#include <vector>

namespace canebrake
{

/// What a remedy touches, least intrusive first.
enum class ChangeKind {
    fingering, ///< nothing that is written
    tongue,    ///< a slur more or less
    dynamic,
    breath,     ///< a breath mark, a slur broken there
    hand_over,  ///< a second player takes over
    instrument, ///< another clarinet
    octave,
    tempo,
    notes ///< other pitches, other ornaments
};

/// "fingering", "tongue", "hand-over": in files.
constexpr const char* word(ChangeKind kind) noexcept
{
    constexpr std::array<const char*, 9> words{"fingering",  "tongue", "dynamic", "breath", "hand-over",
                                               "instrument", "octave", "tempo",   "notes"};
    return words[std::size_t(kind)];
}

/// How much a kind of change does to the music. The order is the trade's; the distances are our own (common
/// practice, no source): what the listener hears less than the rough place itself stays below 4.
constexpr double intrusion(ChangeKind kind) noexcept
{
    constexpr std::array<double, 9> costs{0.5, 1.5, 2.0, 2.5, 4.0, 5.0, 6.5, 8.0, 10.0};
    return costs[std::size_t(kind)];
}

/// Notes of a line, both ends included.
struct NoteRange {
    std::size_t from = 0, to = 0;
};

// Changes of a line as it was read: grace notes not placed, ornaments not written out. Each takes a line and
// gives another; notes keep their Source, also those that were made from one. Indices are those of the line
// given; a range that reaches past the end is cut.

/// Played with these keys, or by this word of the trade; empty: as the player likes.
Line with_fingering(Line, std::size_t note, const std::string& fingering);

/// The note after this one begins with the tongue.
Line tongued_after(Line, std::size_t note);
/// Every note of the range begins with the tongue.
Line all_tongued(Line, NoteRange);
/// The note begins without the tongue, on the breath of the one before it.
Line slurred_into(Line, std::size_t note);
/// Slurs two by two, from the first note.
Line slurred_in_pairs(Line, NoteRange);
/// Slurs two and tongues two, over and over, from the first note.
Line two_slurred_two_tongued(Line, NoteRange);

/// So many steps of the ladder louder (negative: softer) from the first note to the end of the last; before
/// and after it everything is as it was. Stays within ppp … fff.
Line louder(Line, NoteRange, double steps);

/// A breath after the note; a slur over it is broken.
Line breath_after(Line, std::size_t note);

/// What two players make of one line.
struct TwoLines {
    Line first, second;
};
/// The second player takes the range over. `overlap`: the first still plays its first note, so that nobody
/// hears the joint. A slur into the range ends for the first player where they stop.
TwoLines handed_over(const Line&, NoteRange, bool overlap);
/// The players take groups of so many quarters in turn, each ending on the first note of the next group.
TwoLines in_turns(const Line&, NoteRange, double quarters);
/// The second player has the notes of the range that sound above `highest`, the first the others, each with
/// the tongue.
TwoLines shared_by_height(const Line&, NoteRange, double highest);

/// Moved by semitones, named as the keys have it.
Line moved(Line, NoteRange, int semitones);

/// So many times the tempo, from the tempo mark in force at the first quarter to the next one after the last.
Line at_share_of_tempo(Line, double from_quarter, double to_quarter, double share);
/// That stretch, in quarters.
std::pair<double, double> tempo_section(const Line&, double from_quarter, double to_quarter);

/// A trill with another distance to its other note; from above.
Line trill_by(Line, std::size_t note, int semitones);
Line trill_from_above(Line, std::size_t note);
/// The two notes of a trill or tremolo written out as slurred notes of equal length, so many to a quarter.
Line measured(Line, std::size_t note, double notes_per_quarter);
/// Without its ornaments of a kind; a slide may become a run of semitones.
Line without_ornament(Line, std::size_t note, OrnamentKind);
Line slide_as_run(Line, std::size_t note);
/// Without marks, as bits.
Line without_marks(Line, std::size_t note, std::uint16_t articulations);

/// The phrase a range lies in: from a silence or the end of a slur to the next, at most `most` notes either
/// way.
NoteRange phrase_around(const Line&, NoteRange, std::size_t most = 24);

} // namespace canebrake
