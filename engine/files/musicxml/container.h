// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <string_view>

namespace canebrake::musicxml
{

/// The MusicXML text in `bytes`: as it is, or out of a compressed file, recognised by its first bytes and not
/// by its name. InputError where there is none; entries are refused above 64 MiB or when they grow more than
/// 300-fold, so that a small file cannot fill the memory.
std::string unpack(std::string_view bytes, const std::string& name);

} // namespace canebrake::musicxml
