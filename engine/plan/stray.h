// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/transition.h"
#include "engine/plan/trill.h"

#include <string>
#include <vector>

namespace canebrake
{

/// What could sound between two fingerings when one finger is early or late.
struct Stray {
    Finger finger{};
    bool early = false;         ///< it moved before all others; else after them
    std::string keys;           ///< what is held meanwhile
    int written = 0;            ///< nearest note of the resonance that carries on
    double cents = 0.0;         ///< of the resonance, from that note
    double off_semitones = 0.0; ///< how far outside the two notes' interval it lies: 0 inside it
};

/// The fingerings a change passes through when any one finger is not with the rest, widest stray first; those
/// whose resonance lies between the two notes (within half a semitone) are left out, since nobody hears them.
/// Asked of the bore model, near the pitch that sounds as the change begins. Empty for changes of one finger.
std::vector<Stray> strays(TrillBook&, const Candidate& from, const Candidate& to);

} // namespace canebrake
