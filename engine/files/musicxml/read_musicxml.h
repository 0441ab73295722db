// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <string>
#include <string_view>

namespace canebrake
{

/// MusicXML, plain or compressed, from bytes in memory; `name` only for messages. Throws InputError
/// (Fault::unreadable).
Score read_musicxml(std::string_view bytes, const std::string& name);

} // namespace canebrake
