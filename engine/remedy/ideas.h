// SPDX-License-Identifier: MIT
#pragma once

#include "engine/remedy/trial.h"

#include <functional>
#include <string>
#include <vector>

namespace canebrake
{

/// A change that may help at a spot: what is done, what it costs the music, and how.
struct Idea {
    ChangeKind kind = ChangeKind::fingering;
    std::string what;   ///< "tongue D5 instead of slurring into it"
    std::string price;  ///< "the slur is broken before it"
    double extra = 0.0; ///< intrusion besides the kind's
    /// The line with the change at a place like the spot's; one line a player. Empty: only the instrument
    /// changes.
    std::function<std::vector<Line>(const Line&, NoteRange place)> play{};
    std::string on{}; ///< another instrument; empty: the same
};

/// What a spot is told with: where it was found.
struct Subject {
    const Performed& p;
    const Spot& spot;
    const Line& line; ///< as it was read, numbered
    NoteRange place;  ///< there

    std::string name(std::size_t note) const; ///< written, as the line spells it
    const Note& read(std::size_t note) const; ///< a performed note as it was read
    std::size_t offset(std::size_t note) const { return p.printed(note).source.number - place.from; }
    bool slurred_inside() const; ///< some joint of the place
    bool long_spot() const { return place.to > place.from + 1; }
    double quarter(std::size_t number) const { return line.notes[number].start_quarter; }
};

// What helps against which cause: common practice, no source. Each appends; whether it does help is for the
// judge to say.

/// Fingering, tongue, dynamic, breath.
void small_ideas(const Subject&, std::vector<Idea>&);
/// A second player.
void shared_ideas(const Subject&, std::vector<Idea>&);
/// Another ornament.
void ornament_ideas(const Subject&, std::vector<Idea>&);
/// Another clarinet: those the player owns first.
void instrument_ideas(const Subject&, std::vector<Idea>&);
/// The phrase an octave away, or up to three semitones.
void octave_ideas(const Subject&, std::vector<Idea>&);
void transposing_ideas(const Subject&, std::vector<Idea>&);

/// "by its side fingering", "with the left little finger": against how the note was taken before.
std::string way_in_words(const Fingering&, const Hands&, const Choice& before);

/// Whether a slower tempo can help.
bool tempo_matters(const Spot&);

} // namespace canebrake
