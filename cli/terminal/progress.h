// SPDX-License-Identifier: MIT
#pragma once

#include <chrono>
#include <iosfwd>

namespace canebrake
{

/// Columns of the terminal behind standard error; 0 if there is none, or one that cannot redraw a line.
int terminal_columns();

/// A bar for work that has lasted a second already, redrawn ten times a second at most and wiped at the end.
/// Says nothing where `columns` is 0. No colour, so NO_COLOR has nothing to switch off.
class Progress
{
public:
    Progress(std::ostream&, int columns);
    ~Progress();
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    /// So much of the whole is done, both in seconds of sound.
    void show(double done_s, double whole_s);
    /// Before anything else is printed.
    void wipe();

private:
    using Clock = std::chrono::steady_clock;
    std::ostream& out_;
    int columns_;
    Clock::time_point next_; ///< not drawn before
    bool drawn_ = false;
};

} // namespace canebrake
