// SPDX-License-Identifier: MIT
#pragma once

#include <string_view>

namespace canebrake::embedded
{
extern const std::string_view b_flat_bore, b_flat_holes, b_flat_fingerings, b_flat_blowing;
} // namespace canebrake::embedded
