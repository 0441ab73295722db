// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/editing/slur_edits.h"
#include "engine/line/line.h"

#include <cstddef>
#include <vector>

namespace canebrake::musicxml
{

/// A note of the file, and where it first stands in the lines.
struct PlacedNote {
    HeldNote held;
    double quarter = 0.0;
    int bar_index = 0;
};

/// Writes the dynamics of `after` where they differ from `before`'s at a note: into the mark that stands
/// before it, or into a new one.
void set_dynamics(EditedTree&, const std::vector<PlacedNote>&, const Line& before, const Line& after);

/// Scales tempo marks where the tempo differs: those that stand in the bars concerned, in any part; a new one
/// where there is none. False if that is not to be done with the marks there are.
bool set_tempo(EditedTree&, const std::vector<PlacedNote>&, const Line& before, const Line& after);

} // namespace canebrake::musicxml
