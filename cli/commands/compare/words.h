// SPDX-License-Identifier: MIT
#pragma once

#include "engine/comparison/figures.h"

#include <optional>
#include <string>

namespace canebrake
{

// What the texts of `canebrake compare` have in common.

/// A figure for a table; "–" where there is none.
std::string figure(const std::optional<double>&, int decimals = 0);
/// "+3", "0", "-12".
std::string cents(const std::optional<double>&);
/// "-0.6 dB  0.95×   +0 c": level, brightness, pitch; 22 columns.
std::string difference_figures(const ToneDifference&);
/// "a shade darker, softer", or "alike"; "not to be compared" if one of the two is missing.
std::string in_words(const ToneDifference&);
/// What the columns and words mean. `differs`: also those of differences.
std::string tone_legend(bool differs);
std::string without_trailing_blanks(std::string);

} // namespace canebrake
