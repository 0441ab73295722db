// SPDX-License-Identifier: MIT
#pragma once

#include <algorithm>

namespace canebrake
{

/// How hard something is, in a player's words; every verdict in Canebrake is one of these four.
///
///   easy        right every time
///   awkward     right, but it costs attention or tone
///   risky       fails about one time in five, or needs practice
///   unplayable  nobody, as written
///
/// A move of the fingers is at most risky: whoever grades fingers stops there.
enum class Grade { easy, awkward, risky, unplayable };

/// `easy`, `awkward`, `risky` or `unplayable`.
constexpr const char* word(Grade grade) noexcept
{
    constexpr const char* words[] = {"easy", "awkward", "risky", "unplayable"};
    return words[int(grade)];
}

/// So many steps harder; a negative number, easier. Stops at both ends.
constexpr Grade harder(Grade grade, int steps) noexcept
{
    constexpr int last = int(Grade::unplayable);
    return Grade(std::clamp(int(grade) + std::clamp(steps, -last, last), 0, last));
}

constexpr Grade worst(Grade a, Grade b) noexcept
{
    return std::max(a, b);
}

/// What one place counts where places are added up: an awkward one 1, a risky one 4, an unplayable one 20.
/// Common practice, no source.
constexpr double weight(Grade grade) noexcept
{
    constexpr double weights[] = {0.0, 1.0, 4.0, 20.0};
    return weights[int(grade)];
}

} // namespace canebrake
