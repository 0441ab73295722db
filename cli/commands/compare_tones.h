// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/compare_report.h"
#include "cli/commands/run.h"

namespace canebrake
{

/// Plays and measures every note the request asks for, on each of its clarinets by each of its players.
TonesReport compare_tones(const CompareRequest&, bool keep_audio, const Console&);

/// The name of a side in tables: "B-flat studio".
std::string side_name(const Instrument&, Player);

/// The register a written note lies in, by the family's own bounds.
std::string register_of(const Instrument&, WrittenPitch);

} // namespace canebrake
