// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <optional>
#include <string_view>
#include <utility>

namespace canebrake
{

/// "12-14" or "12": first and last printed number. Empty if it is none.
std::optional<std::pair<int, int>> bar_numbers(std::string_view text);

/// Finds one's way in a line by its bars. Places are quarters of the line.
class Bars
{
public:
    explicit Bars(const Line& line) : line_(line) {}

    struct Place {
        const Bar* bar = nullptr; ///< nullptr: the line has no bars there
        double beat = 1.0;        ///< in the bar's beat unit, from 1
    };
    Place at(double quarter) const;
    /// Where a printed number first comes in playing order.
    std::optional<double> start_of(int number) const;
    /// From the first bar's start to the last bar's end; from the first time the music comes there.
    std::optional<std::pair<double, double>> stretch(int first, int last) const;
    /// Start of the next bar; empty in the last.
    std::optional<double> after(double quarter) const;
    /// Start of this bar, or of the one before if this has only begun (less than a beat ago).
    double before(double quarter) const;

private:
    const Bar* bar_at(double quarter) const;
    const Line& line_;
};

} // namespace canebrake
