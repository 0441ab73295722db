// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/musicxml/written.h"

#include <pugixml.hpp>

namespace canebrake::musicxml
{

/// One bar of one part as the document has it: `content` holds the notes; `measure` the number (the same node
/// in score-partwise, its parent in score-timewise).
struct BarNode {
    pugi::xml_node measure;
    pugi::xml_node content;
};

/// Walks one part from bar to bar: keeps time, key and transposition, reads what it meets. Its `id` names the
/// notes that have no id of their own.
WrittenPart walk_part(const std::vector<BarNode>&, const std::string& id);

} // namespace canebrake::musicxml
