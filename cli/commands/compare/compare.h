// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/compare/options.h"
#include "cli/terminal/console.h"

namespace canebrake
{

/// `canebrake compare`: held notes over pitch and dynamic, the same line on several clarinets or by several
/// players, or recordings, side by side; as text, CSV, JSON or a page. Throws InputError, or BrokenOff; then
/// nothing was written.
void compare(const CompareRequest&, const Console&);

} // namespace canebrake
