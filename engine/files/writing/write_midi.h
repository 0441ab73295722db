// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <string>
#include <vector>

namespace canebrake
{

/// One part of a Standard MIDI File.
struct MidiPart {
    Line line; ///< as it sounds: grace notes placed, ornaments written out
    std::string name;
    int program = 71; ///< General MIDI, 0–127; 71: clarinet
};

/// A Standard MIDI File, format 1: tempo, time and key signatures in the first track, then a track a part.
/// Dynamics are velocities, and the breath controller (2) where a note swells; slurred notes overlap by a
/// little. Tempo and dynamics that change gradually are written in steps of an eighth note. `read_score`
/// reads it back to the same notes; articulations and spelling are lost. At most 16 parts: InputError
/// (Fault::usage).
std::string write_midi(const std::string& title, const std::vector<MidiPart>&);

} // namespace canebrake
