// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/kit.h"
#include "engine/plan/transition.h"
#include "models/instruments/instrument.h"

namespace canebrake
{

inline constexpr int throat_low = 67, throat_high = 70; ///< written G4 to B-flat4
inline constexpr int clarion_high = 84;                 ///< written C6

/// Whether a written note is a throat note.
constexpr bool in_throat(WrittenPitch p)
{
    return p.number >= throat_low && p.number <= throat_high;
}

/// What sets the speed of a slur, where it is not the fingers: the air column.
enum class SlurLimit {
    fingers,
    break_step,   ///< a step over the break: the register key and all the fingers at once
    throat_leap,  ///< a leap between throat and clarion
    new_register, ///< wide, into another register: it has to speak
    wide,         ///< an octave and more above the break: it has to be voiced
    hangs         ///< down from high up: the high note hangs on
};

/// How many notes a second two notes may follow each other slurred. Beyond `awkward` it is risky.
struct SlurSpeed {
    double easy = 0.0, awkward = 0.0;
    SlurLimit limit = SlurLimit::fingers;
};

/// The slower of what fingers and air column allow; a learner has three quarters of it. Common practice, no
/// source.
SlurSpeed slur_speed(const Fingering& from, const Fingering& to, const Transition& moves, Player);

/// What a learner does of a professional's speed (proposed, common practice, no source).
inline constexpr double learner_share = 0.75;

/// Beyond the easy speed by less than this share a slur is awkward.
inline constexpr double awkward_share = 1.3;

} // namespace canebrake
