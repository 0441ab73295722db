// SPDX-License-Identifier: MIT
#pragma once

#include "models/instruments/instrument.h"

#include <array>
#include <cstdint>
#include <functional>

namespace canebrake::calibration
{

/// One note blown in one way, and what came of it.
struct Trial {
    double level_db = -200.0, cents = 0.0, speaking_s = 9.0, peak = 0.0, overshoot_db = 0.0;
    double centroid_hz = 0.0;
    double drift_db = 0.0; ///< its end over all of it: a note just over its threshold may still be growing
    bool good = false;     ///< it settled in its register and stayed
};

/// A fingering on the eight rungs ppp … fff.
struct Line {
    std::array<Blowing, 8> blowing;
    std::array<Trial, 8> trial;
};

/// Plays a note: how it is blown, the breath's seed (0: no noise), the lip's bend in cents.
using Play = std::function<Trial(const Blowing&, std::uint64_t, double)>;

/// Span from ff down to pp that the ladder asks for, dB: as much as a B♭ soprano gives.
double span_db(const Fingering&);

/// Level each rung is asked for: from mf down in even steps to pp, ppp another; f, ff and fff are what they
/// are (where the reed beats, mouth pressure says how loud and not level).
std::array<double, 8> wanted_levels(const Line&, const Fingering&);

/// How far the rungs under mf lie off what is asked at the worst, dB; 99 where one does not sound or is no
/// softer than the next.
double ladder_error_db(const Line&, const Fingering&);

/// The start that speaks soonest with the least bump.
void prompt_start(Line&, std::size_t rung, const Play&);

/// The lip of f, ff and fff, where one of them is no brighter than the rung under it: a little looser or
/// tighter, if the note holds five times in five.
void brighten(Line&, const Play&);

/// Moves breath, start and lip of the rungs mp … ppp until each lies within 1 dB of what is asked, speaks in
/// its register twice in two and starts within `soon_s` or no later than it did. Where a note does not go so
/// soft, the steps between mf and the softest it has are made even. Rungs that are right stay as they are;
/// a line whose mf or ff does not sound is left alone.
void hold_ladder(Line&, const Fingering&, double soon_s, const Play&);

} // namespace canebrake::calibration
