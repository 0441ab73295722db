// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <functional>

namespace canebrake
{

/// How printed pitches are to be understood. `as_file` believes the file: MusicXML `transpose`; MIDI is
/// sounding; a typed phrase is written.
enum class PitchBasis { as_file, written, sounding };

/// Reads the notes anew for an instrument that sounds `transposition` semitones from written (B♭ soprano:
/// −2). Afterwards `written_known` says whether what is printed is the written pitch; microtones stay.
void set_pitch_basis(Line&, PitchBasis, int transposition);
/// The same for a part that changes instrument: `transposition` is asked at each note's quarter.
void set_pitch_basis(Line&, PitchBasis, const std::function<int(double quarter)>& transposition);

} // namespace canebrake
