// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/input_error.h"

namespace canebrake
{

/// What the program returns to the shell. --help and assets/docs/exit-codes.md list them.
enum class ExitCode : int {
    done = 0,         ///< also with warnings
    internal = 1,     ///< a fault of ours
    usage = 2,        ///< the call's words are off
    unreadable = 3,   ///< the line is missing, empty, not music, damaged
    needs_choice = 4, ///< several parts and none chosen
    off_range = 5,    ///< notes off the instrument, with --strict
    unwritable = 6,   ///< the destination cannot be written
    spots_found = 7,  ///< spots as bad as --fail-on asks
    no_sound = 8,     ///< play: no sound device, or it failed
};

constexpr ExitCode exit_code(Fault fault)
{
    switch (fault) {
    case Fault::usage:
        return ExitCode::usage;
    case Fault::unreadable:
        return ExitCode::unreadable;
    case Fault::needs_choice:
        return ExitCode::needs_choice;
    case Fault::off_range:
        return ExitCode::off_range;
    case Fault::unwritable:
        return ExitCode::unwritable;
    }
    return ExitCode::internal;
}

} // namespace canebrake
