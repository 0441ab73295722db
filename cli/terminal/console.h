// SPDX-License-Identifier: MIT
#pragma once

#include <atomic>
#include <ostream>
#include <string>
#include <vector>

namespace canebrake
{

/// Where a command speaks: results on `out`, remarks and errors on `err`.
struct Console {
    std::ostream& out;
    std::ostream& err;
    int columns = 0;                         ///< width of the terminal behind `err`; 0: no terminal
    const std::atomic<bool>* stop = nullptr; ///< set from outside to break off
};

inline void say_remarks(const Console& console, const std::vector<std::string>& remarks)
{
    for (const std::string& remark : remarks)
        console.err << "canebrake: remark: " << remark << '\n';
    console.err << std::flush;
}

} // namespace canebrake
