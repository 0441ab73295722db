// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/kit.h"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// A player's kit: a TOML file (https://toml.io, version 1.0) with the keys that assets/kits/plain.toml shows
/// and explains. What it leaves out stays as in a default Kit. Throws InputError (Fault::unreadable) in one
/// line: file, line number, what was found, which words are allowed.
Kit read_kit(const std::filesystem::path&);

/// The same on bytes in memory; `name` only for messages.
Kit read_kit(std::string_view bytes, const std::string& name);

/// The keys a kit may hold, in the order they are explained in.
std::vector<std::string> kit_keys();

} // namespace canebrake
