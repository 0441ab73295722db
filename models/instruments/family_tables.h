// SPDX-License-Identifier: MIT
#pragma once

#include <string_view>

namespace canebrake::embedded
{
extern const std::string_view family, family_registers, family_words;
} // namespace canebrake::embedded
