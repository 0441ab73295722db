// SPDX-License-Identifier: MIT
#pragma once

#include <atomic>
#include <iosfwd>
#include <span>
#include <string>

namespace canebrake
{

/// Where a command speaks: results on `out`, remarks and errors on `err`.
struct Console {
    std::ostream& out;
    std::ostream& err;
    int columns = 0;                         ///< width of the terminal behind `err`; 0: no terminal
    const std::atomic<bool>* stop = nullptr; ///< set from outside to break off
};

/// Thrown by a command that `Console::stop` broke off; what it had begun to write is gone.
struct BrokenOff {
};

/// The whole program but for the process around it: `args` without the program's name. Throws nothing;
/// returns one of exit_codes.h.
int run(std::span<const std::string> args, const Console&) noexcept;
inline int run(std::span<const std::string> args, std::ostream& out, std::ostream& err) noexcept
{
    return run(args, Console{out, err});
}

} // namespace canebrake
