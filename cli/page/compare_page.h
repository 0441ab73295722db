// SPDX-License-Identifier: MIT
#pragma once

#include "cli/audio/packed_sound.h"

#include <nlohmann/json.hpp>

#include <span>
#include <string>

namespace canebrake
{

using PageSound = PackedSound;

/// The page of `canebrake compare`: one HTML file that opens offline. `comparison` is a document of the
/// schema "canebrake-compare", version 1; `sounds` are those of its sides, in order, and may be fewer or
/// none: those sides then cannot be heard. The page's policy (W3C Content Security Policy 3) allows its own
/// style and scripts by their hash and nothing else, so nothing is fetched and nothing a file's names say can
/// run. Text that is not UTF-8 is mended; numbers are rounded to four decimals.
std::string compare_page(const nlohmann::ordered_json& comparison, std::span<const PageSound> sounds);

} // namespace canebrake
