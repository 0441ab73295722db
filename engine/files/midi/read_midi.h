// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <string>
#include <string_view>

namespace canebrake
{

/// A Standard MIDI File from bytes in memory; `name` only for messages. Throws InputError
/// (Fault::unreadable).
Score read_midi(std::string_view bytes, const std::string& name);

} // namespace canebrake
