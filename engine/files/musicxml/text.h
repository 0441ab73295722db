// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/musicxml/fraction.h"

#include <optional>
#include <pugixml.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake::musicxml
{

std::string trimmed(std::string_view);
std::string lower_case(std::string_view);

/// The first number in the text ("c. 120" is 120); empty if there is none. Not swayed by the locale.
std::optional<double> first_number(std::string_view);
int whole_number(const char* text, int fallback);

/// A decimal, exactly: "12", "0.5".
std::optional<Fraction> exact_number(std::string_view);

/// Words without spaces, letters as they are; points, commas, brackets and dashes end a word and go.
std::vector<std::string> words_of(std::string_view);

/// 0 = C … 6 = B; -1 if it is none of A … G.
int step_number(const char* letter);
/// The chromatic number (60 = C4) of a natural.
int natural_number(int step, int octave);

} // namespace canebrake::musicxml
