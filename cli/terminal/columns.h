// SPDX-License-Identifier: MIT
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace canebrake
{

/// Columns a text takes on a terminal: its code points (none of ours is double width).
std::size_t columns_of(std::string_view utf8);

/// Words of `text` in lines of at most `width` columns, all but the first set in by `indent` blanks; ends
/// without a line break. The first line starts at column `at`.
std::string wrapped(std::string_view text, std::size_t indent, std::size_t at, std::size_t width = 80);

/// For a terminal without UTF-8: flats and sharps as letters.
std::string plain_ascii(std::string_view utf8);

} // namespace canebrake
