// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/musicxml/written.h"

#include <string>
#include <utility>
#include <vector>

namespace canebrake::musicxml
{

/// A note as played, on the way from the written bars to a Line.
struct Played {
    Note note;
    Fraction start, end;
    int bar = 0;     ///< index in playing order
    int passage = 0; ///< counts the jumps before it
    bool slurred = false, slur_changes_voice = false;
    bool wavy_start = false, wavy_stop = false, two_note_start = false, two_note_stop = false;
    bool glissando_start = false, slide_start = false;
    int strokes = 3;
    double stroke_quarters = 0.0;
    int above = 2; ///< semitones to the note above
    bool tie_open = false;
};

/// The notes of a part in playing order, ties joined, slurs paired, two-note tremolos made one, glissandi
/// given their goal. Voices still lie over one another.
std::vector<Played> play_notes(const WrittenPart&, const std::vector<int>& order,
                               const std::vector<Fraction>& bar_starts, std::vector<std::string>& remarks);

/// One line out of several voices: whatever sounds highest. A lower note ends where a higher one enters; one
/// that begins under a higher one is left out altogether, since entering late would be an attack that nobody
/// wrote. Grace notes go with their main note.
std::vector<Played> top_line(std::vector<Played>, std::vector<std::string>& remarks);

/// Slurs hold only between notes that touch, in one voice.
void settle_slurs(std::vector<Played>&);

} // namespace canebrake::musicxml
