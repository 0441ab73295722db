// SPDX-License-Identifier: MIT
#pragma once

#include <cstddef>
#include <string>

namespace canebrake
{

/// "no", "one" … "ten", then figures.
std::string number_word(std::size_t count);
/// "a fifth", "an octave", "two octaves and a third"; the sign does not count.
std::string an_interval(int semitones);

} // namespace canebrake
