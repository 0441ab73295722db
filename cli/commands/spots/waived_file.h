// SPDX-License-Identifier: MIT
#pragma once

#include "engine/telling/waived.h"

#include <filesystem>

namespace canebrake
{

/// The list of waived spots beside a line, LINE.waived.json; an empty one if there is none. InputError
/// (Fault::unreadable) if it is damaged.
WaivedList read_waived(const std::filesystem::path& line);
/// InputError (Fault::unwritable).
void write_waived(const std::filesystem::path& line, const WaivedList&);

} // namespace canebrake
