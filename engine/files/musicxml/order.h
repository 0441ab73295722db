// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/musicxml/written.h"

#include <string>
#include <vector>

namespace canebrake::musicxml
{

/// Repeat signs, endings and jumps of a whole score: each may stand in any part and holds for all.
std::vector<Flow> merged_flow(const std::vector<WrittenPart>&);

/// The bars as they are played, as indices of written bars.
///
/// A backward repeat goes to the last forward repeat that is still open (they nest), else to the end of the
/// last repeated section, else to the start. An ending is played on its numbers' passes; a repeat inside the
/// last of several endings is a bar line only. After a Da Capo or Dal Segno, which are taken once each, inner
/// repeats are left out unless the sign says `after-jump`, the last ending is played, and Fine and the jump
/// to the coda hold.
///
/// InputError if a file asks for more than a hundred times its bars.
std::vector<int> playing_order(const std::vector<Flow>&, const std::string& name,
                               std::vector<std::string>& remarks);

} // namespace canebrake::musicxml
