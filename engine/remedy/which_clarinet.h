// SPDX-License-Identifier: MIT
#pragma once

#include "engine/remedy/trial.h"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace canebrake
{

/// One clarinet for a passage.
struct Candidature {
    const FamilyMember* member = nullptr;
    bool owned = false, now = false;   ///< now: the one it is played on
    int fifths = 0;                    ///< of the written signature, as it begins
    std::size_t accidentals = 0;       ///< notes that need one of their own on the page
    int low = 0, high = 0;             ///< written compass
    std::array<double, 4> registers{}; ///< shares of the sounding time: chalumeau, throat, clarion, altissimo
    std::size_t awkward = 0, risky = 0, unplayable = 0; ///< places, by ear
    std::size_t off = 0;                                ///< notes off the instrument
    double score = 0.0;
    std::string words; ///< what is won and lost against the one it is played on
};

/// Those of the family whose compass holds the passage, best first. The score, smaller is better: an awkward
/// place 1, a risky one 4, an unplayable one 20; each accidental of the signature 0.6, and from six on 2
/// more; an accidental on the page 0.1; 3 for an instrument the player does not own, 3 for one of another
/// size than the passage was written for. Common practice, no source; the figures behind it are all told.
std::vector<Candidature> clarinets_for(const TrialRoom&);

} // namespace canebrake
