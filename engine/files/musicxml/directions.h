// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/musicxml/written.h"

#include <optional>
#include <pugixml.hpp>
#include <string>

namespace canebrake::musicxml
{

/// What stands over and under the notes, into the bar's lists. `at` is where it takes effect.
void read_direction(const pugi::xml_node&, Fraction at, WrittenBar&);
void read_sound(const pugi::xml_node&, Fraction at, WrittenBar&);
/// A name before the staff that differs from here on.
void read_new_name(const pugi::xml_node& print, Fraction at, WrittenBar&);
void read_dynamics(const pugi::xml_node&, Fraction at, WrittenBar&);
/// Whether words ask for flutter-tongue ("flz.", "flutter-tongue", "frull.") or end it ("ord.", "nat.").
std::optional<bool> flutter_words(const std::string&);
void read_barline(const pugi::xml_node&, WrittenBar&, WrittenBar* next_bar);

} // namespace canebrake::musicxml
