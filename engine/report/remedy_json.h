// SPDX-License-Identifier: MIT
#pragma once

#include "engine/remedy/remedies.h"

#include <string>

namespace canebrake
{

/// Schema "canebrake-remedy", version 1.
std::string remedy_json(const RemedyReport&, const LineRequest&);

} // namespace canebrake
