// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/writing/page_time.h"

#include <functional>
#include <pugixml.hpp>
#include <string>
#include <vector>

namespace canebrake::musicxml
{

/// A sign over or under the staff at a moment of its own.
struct PageMark {
    Fraction at;
    bool above = false;
    std::function<void(pugi::xml_node direction)> print; ///< fills in the direction-types
    std::string sound_tempo{};                           ///< quarters a minute; empty: none
};

/// Rehearsal marks, tempo, dynamics and hairpins of a line, by time.
std::vector<PageMark> page_marks(const Line&, const PageTime&, std::vector<std::string>& remarks);

/// The direction of a mark, `offset` quarters from where the document stands.
void print_mark(pugi::xml_node measure, const PageMark&, Fraction offset, std::int64_t divisions);

/// A number as XML likes it: no exponent, no zeros at its end.
std::string decimal(double);

} // namespace canebrake::musicxml
