// SPDX-License-Identifier: MIT
#pragma once

#include "models/instruments/family.h"

#include <string>

namespace canebrake
{

/// Schema "canebrake-instruments", version 1. `member` nullptr: all.
std::string family_json(const FamilyMember* member);

} // namespace canebrake
