// SPDX-License-Identifier: MIT
#pragma once

#include "engine/listening/listening.h"

namespace canebrake::listening
{

/// `harmonics` of a stretch whose fundamental is known to a few cents: it is only sharpened. Empty of less
/// than two periods.
Harmonics harmonics_at(std::span<const float> audio, SampleRate, double sounding_hz, int count);

} // namespace canebrake::listening
