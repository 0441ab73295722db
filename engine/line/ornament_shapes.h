// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <optional>
#include <vector>

namespace canebrake
{

/// One small note of an ornament: its distance from the main note and its share of the time.
struct Small {
    OrnamentKind kind = OrnamentKind::trill;
    int role = 0; ///< as in Figure
    int semitones = 0;
    std::optional<int> letters = 0; ///< letter names from the main note; empty: chromatic, by direction
    double quarters = 0.0;
    bool tongued_after = false; ///< the next small note is tongued, not slurred
};

/// What stands right before and after an ornamented note and changes how it is played.
struct Surroundings {
    std::optional<SoundingPitch> grace_before; ///< of a grace note that runs into this one
    bool closing_graces = false;               ///< its closing turn is printed as small notes after it
};

/// The small notes of a note's ornaments, together as long as the note. One plain small note where there is
/// nothing to write out or no time for it.
std::vector<Small> small_notes(const Note&, const TempoMap&, const OrnamentPace&, const Surroundings&);

} // namespace canebrake
