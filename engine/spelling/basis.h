// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/plan/grade.h"
#include "models/instruments/family.h"

#include <optional>
#include <string>
#include <vector>

namespace canebrake
{

/// A part that seems to stand at another pitch than it says.
struct BasisFinding {
    enum Evidence {
        key,     ///< its signature beside the score's
        harmony, ///< its notes beside the other parts' at the same time
        compass, ///< its notes beside the instrument's range
    };
    Grade grade = Grade::risky; ///< wrong notes at the first rehearsal
    Evidence evidence = key;
    int said = 0;       ///< sounding minus printed as the file is read, semitones
    int fits = 0;       ///< what fits better
    std::string detail; ///< what is suspected, one plain sentence with the figures
};

/// Whether a part for an instrument that sounds `transposition` semitones from written looks as if it were at
/// another pitch than it is read at: printed at concert pitch under a transposing instrument's name, the
/// reverse, or for another clarinet. `other_parts` are the score's others at sounding pitch (the part itself
/// among them does no harm); `member` gives the compass, by default the first of the family that is usually
/// written so. Empty: it fits, or there is too little to go by.
///
/// Harmony: durations by pitch class in every quarter and every four, the part's against the others' (without
/// those read at the same transposition, which may share the mistake). The correlation is
/// taken once as read and once for each other way (the printed notes at concert pitch, at the instrument's
/// transposition, for clarinets in B♭, A and E♭); a part fits where its tones are those the others play.
/// Key: the signature that parts for non-transposing instruments print, against the one this part prints.
/// A signature alone is believed only where the notes do not speak against it, and never where the score has
/// no signature at all (then transposing parts may have none either). Compass: for a part alone.
std::optional<BasisFinding> pitch_basis_looks_wrong(const Line& part,
                                                    const std::vector<const Line*>& other_parts,
                                                    int transposition, const FamilyMember* member = nullptr);

} // namespace canebrake
