// SPDX-License-Identifier: MIT
#pragma once

#include <stdexcept>
#include <string>

namespace canebrake
{

/// What was wrong, decided by who can mend it. The command line turns each into its exit code.
enum class Fault {
    usage,        ///< the call's words are off
    unreadable,   ///< the file is missing, empty, not music, damaged
    needs_choice, ///< the file has several parts and none was chosen
    off_range,    ///< notes off the instrument, and the caller asked to refuse them
    unwritable,   ///< the destination cannot be written
};

/// The one exception of reading and preparing. The text names the place, what was found and what was wanted,
/// in one line: `holes.csv:12: found '4,1', wanted millimetres with a point, such as 4.1`.
class InputError : public std::runtime_error
{
public:
    explicit InputError(const std::string& text, Fault fault = Fault::unreadable)
        : std::runtime_error(text), fault_(fault)
    {
    }
    Fault fault() const { return fault_; }

private:
    Fault fault_;
};

} // namespace canebrake
