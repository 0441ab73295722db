// SPDX-License-Identifier: MIT
#pragma once

#include "engine/calibration/ladder.h"
#include "models/bore/resonator.h"
#include "models/modes/mode_table.h"

#include <cstdint>

namespace canebrake::calibration
{

inline constexpr double unit_gain = 1e-8; ///< of the voice's output, before an instrument's gain is known
inline constexpr double lip_share = 0.75; ///< of a deviation, that the studio player's lip takes out

/// One fingering of an instrument on its bore, to be blown as often as one likes. What it is made from must
/// outlive it.
class BlownNote
{
public:
    BlownNote(const Instrument&, const Resonator&, const Fingering&);

    /// The tongue lets go at start_gamma, the breath sinks to gamma, and the sound is measured half a second
    /// later. Seed 0 leaves the breath noise out.
    Trial play(const Blowing&, std::uint64_t seed = 1, double lip_cents = 0.0) const;
    /// A start is partly luck: whether four more come off, `first` having come off, each with another seed
    /// and the lip a little elsewhere.
    bool sure(const Blowing&, const Trial& first) const;
    /// The same, as the ladder asks for it.
    Play player() const;

    const Fingering& fingering() const { return fingering_; }
    const Resonator& bore() const { return bore_; }
    const Instrument& instrument() const { return instrument_; }
    double target_hz() const;
    /// How much more time a long bore is given: a period is longer, and so many of them a note takes to grow.
    double patience() const;
    /// The tract's height over Zc is told for a soprano's bore; a mouth that did as much to a wide one would
    /// lead it, and no longer lean on what the bore says.
    double tract_share() const;

private:
    const Instrument& instrument_;
    const Resonator& bore_;
    const Fingering& fingering_;
    ModeTable table_;
};

} // namespace canebrake::calibration
