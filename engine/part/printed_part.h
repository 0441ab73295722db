// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/part/casting.h"

#include <string>

namespace canebrake
{

/// The line as it is printed for whoever plays it: transposed and spelled for each instrument of the casting,
/// stretch by stretch.
Line written_for(const Line&, const Casting&);

/// With a key signature where the file has none and the notes make one clear (correlation 0.45, as
/// `transpose_line` asks), and the notes named in it.
Line with_key(Line);

/// The line with one instrument between two quarters, and who plays now before and after.
Line on_instrument(Line, const Casting& now, double from, double to, const std::string& instrument);

} // namespace canebrake
