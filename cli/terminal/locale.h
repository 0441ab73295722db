// SPDX-License-Identifier: MIT
#pragma once

namespace canebrake
{

/// Whether the locale of the environment writes UTF-8: the first of LC_ALL, LC_CTYPE and LANG that is set
/// decides (POSIX).
bool locale_is_utf8();

} // namespace canebrake
