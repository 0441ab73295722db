// SPDX-License-Identifier: MIT
#pragma once

#include "engine/workbench/bench.h"

namespace canebrake
{

/// Opens what the request names: its file, or the typed phrase. InputError.
Bench opened(const LineRequest&);

} // namespace canebrake
