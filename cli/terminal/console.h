// SPDX-License-Identifier: MIT
#pragma once

#include <atomic>
#include <iosfwd>

namespace canebrake
{

/// Where a command speaks: results on `out`, remarks and errors on `err`.
struct Console {
    std::ostream& out;
    std::ostream& err;
    int columns = 0;                         ///< width of the terminal behind `err`; 0: no terminal
    const std::atomic<bool>* stop = nullptr; ///< set from outside to break off
};

} // namespace canebrake
