// SPDX-License-Identifier: MIT
#pragma once

#include "cli/terminal/console.h"

#include <span>
#include <string>

namespace canebrake
{

/// The whole program but for the process around it: `args` without the program's name. Throws nothing;
/// returns one of exit_codes.h.
int run(std::span<const std::string> args, const Console&) noexcept;
inline int run(std::span<const std::string> args, std::ostream& out, std::ostream& err) noexcept
{
    return run(args, Console{out, err});
}

} // namespace canebrake
