// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <filesystem>
#include <string>
#include <string_view>

namespace canebrake
{

/// Reads any score we know, by content and not by name: MusicXML (plain or compressed) or a Standard MIDI
/// File. `name` is only for messages. Throws InputError (Fault::unreadable): empty, truncated, not music.
Score read_score(std::string_view bytes, const std::string& name);

/// A score file's bytes, at most 256 MB. InputError (Fault::unreadable): missing, a folder, not readable.
std::string load_score(const std::filesystem::path&);
/// Both in one.
Score read_score(const std::filesystem::path&);

} // namespace canebrake
