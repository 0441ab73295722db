// SPDX-License-Identifier: MIT
#pragma once

#include "engine/fingering/question.h"

#include <string>

namespace canebrake
{

/// To read in a terminal: lines of 80 columns at most.
std::string fingering_text(const FingeringAnswer&, const Instrument&, bool utf8);

} // namespace canebrake
