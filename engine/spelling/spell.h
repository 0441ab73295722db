// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/spelling/fifths.h"

#include <span>
#include <vector>

namespace canebrake
{

struct SpellingOptions {
    bool plain = false; ///< no double accidental, not even where it is the proper leading note
};

NoteName printed_name(const Note&);

/// Names the notes anew: sets `printed_step` and `printed_alter` for what `printed` says, in the keys of the
/// page (none: no signature).
///
/// Each name is a place on the line of fifths. Of all ways to name the line the cheapest is taken, by dynamic
/// programming: a note costs what it lies outside its key, a step from note to note what its interval lies
/// outside the plain ones. This is Temperley's pitch variance rule (names near each other and near the key)
/// with his voice-leading rule (a chromatic note is named a diatonic semitone from the note it leads to, so
/// it is sharp when it rises and flat when it falls): The Cognition of Basic Musical Structures, 2001,
/// chapter 5, from memory; the weights are our own. Whether a signature is read as its major or its minor key
/// (the leading note costs less in minor) is decided by `estimate_key`'s profiles. Ties go to the sharp.
/// Costs about 0.1 µs a note.
///
/// Double sharps only in keys of five or more sharps on the note that leads to their minor tonic (and in
/// seven sharps also a step below it); double flats never.
void respell(std::span<Note>, std::span<const KeyPoint> keys, const SpellingOptions& = {});

/// The same where `which` says so; the other notes keep their names and count as neighbours.
void respell_some(std::span<Note>, std::span<const KeyPoint> keys, const std::vector<bool>& which,
                  const SpellingOptions& = {});

/// Whether a double sharp is the proper name in this key: see `respell`.
bool proper_double_sharp(int fifths, int key);

} // namespace canebrake
