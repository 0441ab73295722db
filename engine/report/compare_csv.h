// SPDX-License-Identifier: MIT
#pragma once

#include "engine/comparison/sides.h"

#include <string>

namespace canebrake
{

/// As a table (RFC 4180): one row a side, note and dynamic; one row a side and note.
std::string compare_csv(const TonesReport&);
std::string compare_csv(const LinesReport&);

} // namespace canebrake
