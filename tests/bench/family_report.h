// SPDX-License-Identifier: MIT
#pragma once

#include <string>

namespace canebrake
{

/// Every member of the family that has a model: notes that settle in their register (to the professional top
/// at pp, mf and ff, above it at mf and ff), worst studio cents, and tone by register. `only`: this one;
/// empty: all.
void family_report(const std::string& only);

/// Fourteen slurs on every member, or on one.
void family_slurs_report(const std::string& only);

/// The ladder ppp … fff on every member, or on one, to C6: steps, span, outliers.
void family_ladder_report(const std::string& only);

} // namespace canebrake
