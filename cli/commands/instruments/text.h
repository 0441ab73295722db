// SPDX-License-Identifier: MIT
#pragma once

#include "models/instruments/family.h"

#include <string>

namespace canebrake
{

/// The family at a glance, at most 80 columns.
std::string family_table();
/// One member, at most 80 columns.
std::string member_page(const FamilyMember&);

} // namespace canebrake
