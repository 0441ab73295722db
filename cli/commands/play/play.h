// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/play/options.h"
#include "cli/options/exit_codes.h"
#include "cli/terminal/console.h"

namespace canebrake
{

/// `canebrake play`: sounds a line on a device, and obeys the keys of the terminal behind standard input.
/// ExitCode::no_sound, after one line, if there is no device or it fails. Throws InputError.
ExitCode play(const PlayRequest&, const Console&);

} // namespace canebrake
