// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/editing/edited_tree.h"

#include <pugixml.hpp>

#include <cstddef>
#include <map>
#include <vector>

namespace canebrake::musicxml
{

/// A note of a part as the file has it: its <note>, and those tied to it.
struct HeldNote {
    std::vector<pugi::xml_node> nodes; ///< at least one
    pugi::xml_node first() const { return nodes.front(); }
    pugi::xml_node last() const { return nodes.back(); }
};

/// Makes or breaks the joints after some notes: slurs that go over them are cut, lengthened, made or taken
/// away; all others stay as they are. `notes`: of one part, in the file's order. `joints`: note → whether it
/// is slurred into the next.
void set_slurs(EditedTree&, const std::vector<HeldNote>& notes, const std::map<std::size_t, bool>& joints);

} // namespace canebrake::musicxml
