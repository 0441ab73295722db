// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/render_options.h"
#include "cli/commands/run.h"
#include "engine/plan/trill.h"

namespace canebrake
{

/// `canebrake render`: reads a line, plays it, writes the sound. Works in blocks: an hour takes no more
/// memory than its list of notes. Throws InputError, or BrokenOff; then nothing was written.
void render(const RenderRequest&, const Console&);

/// The line as it will be played: the chosen part at its pitch, cut, in its tempo, with grace notes and
/// ornaments written out at the pace of the request's player on the book's instrument.
Line line_to_play(const RenderRequest&, TrillBook&);

} // namespace canebrake
