// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <cstddef>
#include <string>
#include <vector>

namespace canebrake
{

// Who is who in a score, by what its parts say of themselves.

/// The parts that are for a clarinet of any kind somewhere: what each line says of its instruments, by name,
/// sound id or MIDI program. Parts without notes say nothing. The only part with notes counts as one too if
/// it says nothing at all.
std::vector<std::size_t> clarinet_parts(const Score&);

/// Horns, trumpets, trombones, tubas and their kin: by sound id, by name in English, German, French or
/// Italian, or by a MIDI program where nothing else is said.
bool is_brass(const Line&);

/// Flute, piccolo, oboe, or a clarinet smaller than the C.
bool is_high_wind(const InstrumentStretch&);

/// "F Horn 2" without its number, so that both desks are one section.
std::string section_of(const std::string& part_name);

} // namespace canebrake
