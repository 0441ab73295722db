// SPDX-License-Identifier: MIT
#pragma once

#include "engine/telling/score_report.h"

#include <string>

namespace canebrake
{

/// Schema "canebrake-spots", version 1; spots from the grade `least` on.
std::string spots_json(const SpotsReport&, const LineRequest&, Grade least);

} // namespace canebrake
