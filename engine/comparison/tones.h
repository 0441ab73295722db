// SPDX-License-Identifier: MIT
#pragma once

#include "engine/comparison/sides.h"
#include "engine/part/watch.h"

namespace canebrake
{

/// Plays and measures every note the request asks for, on each of its clarinets by each of its players.
TonesReport compare_tones(const ComparisonRequest&, bool keep_audio, const Watch&);

/// The name of a side in tables: "B-flat studio".
std::string side_name(const Instrument&, Player);

/// The register a written note lies in, by the family's own bounds.
std::string register_of(const Instrument&, WrittenPitch);

} // namespace canebrake
