// SPDX-License-Identifier: MIT
#include "engine/files/writing/part_page.h"

#include "engine/files/writing/write_musicxml.h"
#include "engine/spelling/key.h"

namespace canebrake
{

std::string page_of(const Line& line, const Casting& casting, const std::string& title,
                    std::vector<std::string>& remarks)
{
    const std::string& played_on = casting.at(0.0).played_on;
    const FamilyMember& member = *member_named(played_on.empty() ? "B-flat" : played_on);
    PartLayout layout;
    layout.title = title;
    layout.part_name = member.title;
    layout.sound_id = member.sound_ids.empty() ? "" : member.sound_ids.front();
    layout.midi_program = member.midi_program;
    layout.transposition = member.transposition;
    layout.keys = line.keys;
    layout.fifths = key_at(line.keys, 0.0);
    return write_musicxml(line, layout, remarks);
}

} // namespace canebrake
