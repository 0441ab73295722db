// SPDX-License-Identifier: MIT
#pragma once

#include "engine/remedy/which_clarinet.h"

#include <string>
#include <vector>

namespace canebrake
{

/// Schema "canebrake-clarinets", version 1.
std::string clarinets_json(const std::vector<Candidature>&);

} // namespace canebrake
