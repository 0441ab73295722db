// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/slur_speed.h"
#include "engine/plan/transition.h"
#include "models/instruments/instrument.h"

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

// Keys, holes and fingers by the names players give them. Plain ASCII, so that one text serves every terminal
// and file. All of it common practice, no source.

/// "register key, thumb, all six fingers, left little finger on F/C"; "no finger down" for open G4.
std::string keys_in_words(const Hands&);

/// The same for ways that differ in the little fingers only: "… left little finger on E/B (or the right)".
std::string keys_in_words(std::span<const Hands>);

/// What one finger holds: "R1" gives "its hole", "S3" gives "the third side key".
std::string held_in_words(Finger, KeySet);

/// "a_flat_e_flat" gives "A-flat/E-flat"; an unknown hole keeps its own name.
std::string hole_in_words(std::string_view hole);

/// The holes of a bit set, from the mouthpiece down: "register vent, E/B"; "none".
std::string holes_in_words(const Geometry&, std::uint32_t holes);

/// Name of the hole that lies at a key or finger, as in holes.csv: "F:r" gives "f_c_pad".
std::string_view hole_at(std::string_view token);

/// When a player takes this fingering instead of the usual one.
std::string when_used(const Fingering&, const Fingering& usual);
/// With the trade's word before it, where there is one: "fork: …".
std::string named_use(const Fingering&, const std::string& when);

/// What one finger does from a fingering to the next: "rolls from the A key to its hole".
std::string move_in_words(const FingerMove&);

/// All that moves, a phrase a finger: "left ring lifts from its hole; right index presses the top side key".
std::string trilled_in_words(const Transition&);

/// "a leap between throat and clarion": what sets a slur's speed; empty where the fingers do.
std::string limit_in_words(SlurLimit);

/// "+7", "-12", "0": in whole cents.
std::string cents_in_words(double cents);

/// "index", "little finger": a finger's name without its hand.
std::string finger_alone(Finger);

} // namespace canebrake
