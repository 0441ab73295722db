// SPDX-License-Identifier: MIT
#pragma once

#include "cli/read/musicxml_written.h"

#include <pugixml.hpp>

namespace canebrake::musicxml
{

/// What stands over and under the notes, into the bar's lists. `at` is where it takes effect.
void read_direction(const pugi::xml_node&, Fraction at, WrittenBar&);
void read_sound(const pugi::xml_node&, Fraction at, WrittenBar&);
void read_dynamics(const pugi::xml_node&, Fraction at, WrittenBar&);
void read_barline(const pugi::xml_node&, WrittenBar&, WrittenBar* next_bar);

} // namespace canebrake::musicxml
