// SPDX-License-Identifier: MIT
#pragma once

#include <cstdint>

namespace canebrake
{

/// Allocations by `new` that this thread has made so far (tests/support/counted_new.cpp).
std::uint64_t allocations_here() noexcept;

} // namespace canebrake
