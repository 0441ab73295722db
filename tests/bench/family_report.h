// SPDX-License-Identifier: MIT
#pragma once

namespace canebrake
{

/// Every member of the family that has a model: notes that settle in their register (to the professional top
/// at pp, mf and ff, above it at mf and ff), worst studio cents, and tone by register.
void family_report();

/// Fourteen slurs on every member.
void family_slurs_report();

} // namespace canebrake
