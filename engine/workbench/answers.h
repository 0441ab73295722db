// SPDX-License-Identifier: MIT
#pragma once

#include "engine/workbench/bench.h"
#include "engine/workbench/sounding.h"
#include "engine/workbench/taking.h"

#include <string>
#include <vector>

namespace canebrake
{

/// Schema "canebrake-parts", version 1.
std::string parts_json(const Bench&);
/// Schema "canebrake-taken", version 1.
std::string taken_json(const TakenRemedies&, const std::vector<RemedyNumber>&,
                       const std::vector<std::string>& remarks);
/// Schema "canebrake-sound", version 1.
std::string sound_json(const Sounding&);

} // namespace canebrake
