// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/remedy/options.h"
#include "cli/terminal/console.h"
#include "engine/workbench/bench.h"
#include "engine/workbench/taking.h"

namespace canebrake
{

/// `canebrake remedy`: ways around the rough places of a line, each judged again. Throws InputError, or
/// BrokenOff.
void remedy(const RemedyRequest&, const Console&);

/// Writes the part with remedies in it, as sound or as a page; says what was written and what has become of
/// its spots.
void write_remedies(const TakenRemedies&, const Bench&, const RemedyRequest&, const Console&);

/// `--for-instrument`: the part written out for one clarinet.
void write_for_instrument(const RemedyRequest&, const Console&);

} // namespace canebrake
