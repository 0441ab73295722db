// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/editing/edit_musicxml.h"
#include "engine/files/editing/edited_tree.h"
#include "engine/line/line.h"

#include <string>
#include <vector>

namespace canebrake::musicxml
{

/// Leaves this part alone in the score. Tempo marks that stood in another part come along, each to the
/// beginning of its bar.
void keep_only(EditedTree&, const std::string& part_id);

/// Names the reader and their transposition, once for the whole part; clefs become treble clefs.
void set_reader(EditedTree&, const std::string& part_id, const NewReader&);

/// Key signatures: what each of `before` has become in `after`; a first one where there is none.
void set_keys(EditedTree&, const std::string& part_id, const std::vector<KeyPoint>& before,
              const std::vector<KeyPoint>& after);

/// <diatonic>, <chromatic> and <octave-change> of a transposition: letter names as instruments transpose (B♭:
/// a second, A: a third …).
struct Transposed {
    int diatonic = 0, chromatic = 0, octaves = 0;
    explicit Transposed(int semitones);
};

} // namespace canebrake::musicxml
