// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/spots/options.h"
#include "engine/telling/score_report.h"

#include <string>

namespace canebrake
{

/// A table within 80 columns.
std::string spots_text(const SpotsReport&, const SpotsRequest&);

} // namespace canebrake
