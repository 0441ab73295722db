// SPDX-License-Identifier: MIT
#pragma once

#include "engine/spots/rules.h"
#include "engine/threads/parallel_loop.h"

#include <vector>

namespace canebrake
{

/// How a judgement is made.
struct JudgeOptions {
    bool listen = true;                 ///< render the places and measure; without, the rules alone speak
    bool ideal = true;                  ///< measure the `ideal` player at the spots too, to compare
    unsigned threads = machine_width(); ///< that render
};

/// The rough places of a line, in playing order, each kind told once with all the places where it comes back.
///
/// Rules find candidates (rules.h); the same change of fingers in the same surroundings is rendered once, by
/// the player the settings name, and listened to. What is heard makes a verdict harder, never easier:
///   - a slur that does not arrive at its note (of 200 ms and more) is risky at least; one that takes longer
///   than 150 ms and half
///     the note to settle is awkward at least;
///   - a note that does not settle in its register is risky; one that speaks in more than 150 ms (on low
///     instruments 450 ms) is awkward, if that is more than a third of it;
///   - a held note 15 cents off is awkward, 30 cents risky;
///   - a throat note is told of only if it is heard to differ: by 2 dB, or a tenth in tone.
/// Then practice (`Kit::reading`) takes its steps off what lies in the fingers. What is easy goes.
///
/// Linear in the notes but for the listening, which is linear in the different places.
std::vector<Spot> judge(const Performed&, const JudgeOptions& = {});

/// The tempo up to which a spot is easy for this reading, as a share of its own; 0 where tempo is not the
/// matter. Never above 1 for a spot that is not easy.
double safe_share(const Spot&, Reading);

} // namespace canebrake
