// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/kit.h"
#include "engine/plan/transition.h"
#include "models/instruments/instrument.h"
#include "models/instruments/mechanism.h"

#include <span>
#include <string>
#include <vector>

namespace canebrake
{

/// One way to take a note: a row of the instrument's chart, with every little-finger key given to a hand.
struct Candidate {
    Fingering fingering; ///< keys with hands, "R T L1 L2 L3 R1 R2 R3 E:l"
    Hands hands;
    std::size_t blown_as = 0; ///< row of Instrument::blowing that tells how to blow it
    double habit = 0.0;       ///< what taking the other hand than usual costs
    double out_of_tune = 0.0; ///< cents beyond what the lip takes out unasked
};

/// The instrument's keywork with the extras this player has on it.
Mechanism keywork(const Instrument&, const Kit&);

/// Everything a player with this kit may choose from on an instrument, by written pitch.
class Chart
{
public:
    Chart(const Instrument&, const Kit&);

    const Instrument& instrument() const { return instrument_; }
    const Mechanism& mechanism() const { return mechanism_; }
    std::span<const Candidate> ways(WrittenPitch) const; ///< empty off the instrument; primary first

    /// A fingering somebody asks for: key tokens ("T L1 R1"), or words of the trade: L, R, left, right, side,
    /// sliver, fork, one-and-one, long, open, resonance, plain. Empty if the note has no such way or the text
    /// says nothing we know ("1", "+ 2"): a player's own numbers are no business of ours.
    std::vector<Candidate> asked_for(WrittenPitch, const std::string& text) const;

    /// The same fingers with these keys, for the pitch they are to sound. Throws InputError if ten fingers
    /// cannot hold them.
    Candidate made_of(WrittenPitch, const std::string& keys) const;

private:
    const Instrument& instrument_;
    Mechanism mechanism_;
    std::vector<Candidate> candidates_;
    std::vector<std::size_t> begin_; // of each written pitch, from 0 to 128
};

} // namespace canebrake
