// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <vector>

namespace canebrake
{

/// A sound in memory.
struct Audio {
    std::vector<float> samples; ///< mono
    SampleRate rate;
};

} // namespace canebrake
