// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/fingering/options.h"
#include "cli/terminal/console.h"

namespace canebrake
{

/// `canebrake fingering`: answers for a note, a slur or a trill, on `out` and, if asked, as a picture. Throws
/// InputError; then nothing was written.
void fingering(const FingeringRequest&, const Console&);

} // namespace canebrake
