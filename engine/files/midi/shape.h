// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/midi/notes.h"
#include "engine/line/line.h"

#include <vector>

namespace canebrake
{

/// Rung of the dynamic ladder for a controller or velocity value: 16 ppp, 32 pp, 48 p, 64 mp, 80 mf, 96 f,
/// 112 ff, 127 fff (all but), 0 niente; straight lines between. MIDI 1.0 gives no dynamic for a velocity;
/// even steps of sixteen are common practice, no source. They sit beside the one published anchor, MusicXML's
/// `sound` element, where 100 % forte is velocity 90: 4.6 on this ladder, between mf and f.
double ladder_level(double value);

/// What a MIDI part says about loudness. In order: breath (controller 2), if it changes while notes sound;
/// else expression (controller 11); else the velocity of each note. Volume (controller 7), if it changes,
/// scales it relative to its own greatest value. A point where the level has moved at least 0.1 rung; steps,
/// no ramps. Empty if nothing changes at all: one velocity throughout is a default, not a dynamic.
std::vector<DynamicPoint> midi_dynamics(const std::vector<KeyPress>&, const std::vector<MidiEvent>& controls,
                                        double ticks_per_quarter);

/// Pitch bend in semitones: 14 bits about 8192, over the range set by registered parameter 0,0 (2 semitones
/// until then). Empty if it never leaves the centre.
std::vector<BendPoint> midi_bends(const std::vector<MidiEvent>& controls, double ticks_per_quarter);

} // namespace canebrake
