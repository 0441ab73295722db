// SPDX-License-Identifier: MIT
#pragma once

#include "engine/calibration/blown_note.h"

namespace canebrake::calibration
{

/// How a fingering is blown on the eight rungs, found by playing alone: in the altissimo first the tract that
/// holds the note best; then the loudest ff that starts five times in five; from there down, each rung by
/// what says best how loud it is.
Line search_line(const BlownNote&);

/// Of the eight rungs, how many sound.
std::size_t good_levels(const Line&);

} // namespace canebrake::calibration
