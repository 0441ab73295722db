// SPDX-License-Identifier: MIT
#pragma once

#include "engine/comparison/sides.h"

#include <string>

namespace canebrake
{

/// At most 80 columns wide.
std::string compare_text(const TonesReport&);
std::string compare_text(const LinesReport&);

} // namespace canebrake
