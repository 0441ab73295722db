// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/spelling/spell.h"

namespace canebrake
{

/// The same music written for an instrument that sounds `new_transposition` semitones from written (clarinet
/// in A: −3). Sounding pitch stays, microtones too; printed = sounding − transposition. Everything else is
/// kept; who plays (`instruments`) is the caller's to say.
///
/// Printed signatures move with the notes (`transposed_key`), and each note keeps its place in its key: what
/// was a raised fourth stays one. Only where that would give a double accidental that is no leading note is
/// the note named anew (`respell`). Where nothing is printed, the key is estimated from all notes, the
/// signature printed if the key is clear (correlation 0.45 and more), and every note named in it.
Line transpose_line(const Line&, int new_transposition, const SpellingOptions& = {});

/// Sounding minus printed in whole semitones, for each note: a note with a microtone goes with the nearest
/// whole one before it (or else after).
std::vector<int> transposition_of_notes(const Line&);

} // namespace canebrake
