// SPDX-License-Identifier: MIT
#pragma once

#include "engine/fingering/question.h"

#include <string>

namespace canebrake
{

/// To print: one row a fingering, black on white.
std::string fingering_svg(const FingeringAnswer&, const Instrument&);

} // namespace canebrake
