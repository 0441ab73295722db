// SPDX-License-Identifier: MIT
#pragma once

#include "engine/part/casting.h"

#include <string>
#include <vector>

namespace canebrake
{

/// A part of its own in MusicXML. `line` is at its written pitch (`written_for`).
std::string page_of(const Line&, const Casting&, const std::string& title, std::vector<std::string>& remarks);

} // namespace canebrake
