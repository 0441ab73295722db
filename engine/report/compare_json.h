// SPDX-License-Identifier: MIT
#pragma once

#include "engine/comparison/sides.h"

#include <nlohmann/json_fwd.hpp>

namespace canebrake
{

/// Schema "canebrake-compare", version 1. `clips`: where each held note lies in its side's sound, for a page.
nlohmann::ordered_json compare_json(const TonesReport&, bool clips = false);
nlohmann::ordered_json compare_json(const LinesReport&);

} // namespace canebrake
