// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/render/options.h"
#include "cli/terminal/console.h"

namespace canebrake
{

/// `canebrake render`: reads a line, plays it, writes the sound. Works in blocks: an hour takes no more
/// memory than its list of notes. Throws InputError, or BrokenOff; then nothing was written.
void render(const RenderRequest&, const Console&);

} // namespace canebrake
