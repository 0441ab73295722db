// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/remedy/options.h"
#include "cli/commands/run.h"
#include "engine/remedy/remedies.h"

namespace canebrake
{

/// `canebrake remedy`: ways around the rough places of a line, each judged again. Throws InputError, or
/// BrokenOff.
void remedy(const RemedyRequest&, const Console&);

/// Writes the part with a remedy in it, as sound or as a page, judged again as a whole; says what was written
/// and what has become of its spots.
void write_remedy(const Remedies&, const ToldRemedies&, const RemedyRequest&, const Console&);

/// `--for-instrument`: the part written out for one clarinet.
void write_for_instrument(const RemedyRequest&, const Console&);

} // namespace canebrake
