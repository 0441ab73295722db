// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <string>

namespace canebrake
{

/// Takes one part by MusicXML id, exact name, "track N", "channel N", or 1-based number. Empty `choice`: the
/// only part that has notes, or InputError (Fault::needs_choice) whose text lists the parts, one a line after
/// the first. The line carries the score's remarks too.
Line choose_part(const Score&, const std::string& choice);

} // namespace canebrake
