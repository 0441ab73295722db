// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/part/line_request.h"

namespace canebrake
{

/// Reads what the request names: its file, or the typed phrase. InputError.
Score read_line(const LineRequest&);

} // namespace canebrake
