// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/plan/grade.h"

#include <cstddef>
#include <string>
#include <vector>

namespace canebrake
{

/// Something on the page that makes a player stumble at sight.
struct ReadingFinding {
    enum Kind {
        remote_key,         ///< a signature of six or seven accidentals
        double_accidental,  ///< where it is no proper leading note
        misspelt_chromatic, ///< plain intervals written as augmented or diminished ones
    };
    std::size_t from = 0, to = 0; ///< first and last note
    Grade grade = Grade::awkward;
    Kind kind = remote_key;
    std::string detail; ///< one sentence
    int count = 0;      ///< notes concerned
};

/// What is hard to read in a line as it is printed: for a part that is not printed as the player will see it
/// (MIDI, concert pitch), give `transpose_line`'s result. In the order of the line. Common practice, no
/// source; nothing here is ever worse than awkward, since it is over once the player has pencilled it in.
///
/// remote_key: one finding for each stretch in six or seven accidentals that has notes.
///
/// double_accidental: one for each run of bars with double accidentals. In keys of five accidentals and more
/// a double sharp is the proper leading note if it belongs to the signature's minor key or goes up to the
/// next letter by a semitone: it does not count, but a remote key's sentence mentions it.
///
/// misspelt_chromatic: a note outside its key that lies a step or a plain third from both neighbours but is
/// written as an augmented or diminished interval to both, when its other name would make both plain; or one
/// pitch with two names in a row, in one key. Chromatic writing has its licence: a finding needs three such
/// notes in a bar, or one whose pitch stands under the other name too in the same run of notes.
std::vector<ReadingFinding> hard_to_read(const Line&);

} // namespace canebrake
