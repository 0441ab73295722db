// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/plan/kit.h"
#include "models/instruments/family.h"

#include <string>

namespace canebrake
{

std::string player_name(Player);

/// "pp", "mf" …: the nearest rung of the ladder.
std::string dynamic_name(double level);

/// Name of chromatic `number` on the line's own spelling of the note: the letter moves with the interval (a
/// printed F#4 two semitones lower is E4, a printed Gb4 is Fb4). Sharps where that would take more than two
/// accidentals.
std::string spelled(const Note&, int number);

/// As a clarinettist spells it: Eb and Bb, C#, F# and G#.
std::string written_name(WrittenPitch);
/// A member's note as it sounds: flats where its key has them.
std::string sounding_name(const FamilyMember&, WrittenPitch);

} // namespace canebrake
