// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/plan/trill.h"

namespace canebrake
{

/// How quick this player is at ornaments on this instrument: each trill and tremolo as fast as the fingers of
/// its best way go, a learner at three quarters of that; the tongue as fast as it stays clean. The book must
/// outlive the pace.
OrnamentPace pace_of(TrillBook&, const Kit&);

} // namespace canebrake
