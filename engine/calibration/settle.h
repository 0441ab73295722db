// SPDX-License-Identifier: MIT
#pragma once

#include "engine/calibration/blown_note.h"

namespace canebrake::calibration
{

/// The best a fingering can do: as the same fingers are blown on the B-flat, or searched for where that does
/// not speak. Below the altissimo the soft rungs are then set to the ladder; a usual fingering that stays off
/// it is searched for afresh, and the better of the two is kept. No rung sounds if the fingering is another
/// note on this instrument.
Line settle(const BlownNote&);

} // namespace canebrake::calibration
