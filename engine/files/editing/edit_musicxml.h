// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// A score with some notes of one part changed, and all else as it came in, byte for byte: other parts,
/// directions, titles, layout, lyrics. `before`: the part as it was read from these bytes, its notes numbered
/// in playing order; `after`: the same line changed, each note with the number it had. A change in one pass
/// of a repeat is made in the bars themselves, so in every pass. Notes that are missing become rests.
///
/// The result was read again and holds the notes, slurs, marks, fingerings and dynamics of `after`. Empty: it
/// could not be made to (more notes than before, another clarinet, an ornament of another kind); `remarks`
/// says why. InputError as `read_musicxml`.
std::optional<std::string> edit_musicxml(std::string_view bytes, const std::string& name, const Line& before,
                                         const Line& after, std::vector<std::string>& remarks);

} // namespace canebrake
