// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <string_view>

namespace canebrake::musicxml
{

/// A compressed MusicXML file (MusicXML 4.0, "Compressed .MXL files"): the entry `mimetype` first and not
/// deflated, META-INF/container.xml, then the score. The same text gives the same bytes.
std::string pack(std::string_view xml);

} // namespace canebrake::musicxml
