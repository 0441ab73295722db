// SPDX-License-Identifier: MIT
#pragma once

namespace canebrake
{

/// Each published figure we hold ourselves to, ours beside it: source, published, ours, difference,
/// tolerance.
void published_report();

} // namespace canebrake
