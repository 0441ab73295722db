// SPDX-License-Identifier: MIT
#include "cli/commands/play/bars.h"

#include "cli/options/option_values.h"

#include <algorithm>
#include <string>

namespace canebrake
{

namespace
{

constexpr double hair = 1e-6; // quarters

} // namespace

std::optional<std::pair<int, int>> bar_numbers(std::string_view text)
{
    const std::size_t dash = text.find('-');
    const auto first = number_in<int>(text.substr(0, dash));
    const auto last = dash == std::string_view::npos ? first : number_in<int>(text.substr(dash + 1));
    if (!first || !last || *first < 0 || *last < *first)
        return {};
    return std::pair{*first, *last};
}

const Bar* Bars::bar_at(double quarter) const
{
    const auto next = std::upper_bound(line_.bars.begin(), line_.bars.end(), quarter + hair,
                                       [](double q, const Bar& bar) { return q < bar.start_quarter; });
    return next == line_.bars.begin() ? nullptr : &*std::prev(next);
}

Bars::Place Bars::at(double quarter) const
{
    const Bar* const bar = bar_at(quarter);
    if (bar == nullptr)
        return {};
    return {bar, 1.0 + (quarter + hair - bar->start_quarter) * bar->beat_type / 4.0};
}

std::optional<double> Bars::start_of(int number) const
{
    const auto found = std::find_if(line_.bars.begin(), line_.bars.end(),
                                    [&](const Bar& bar) { return bar.number == std::to_string(number); });
    if (found == line_.bars.end())
        return {};
    return found->start_quarter;
}

std::optional<std::pair<double, double>> Bars::stretch(int first, int last) const
{
    const auto from = start_of(first);
    if (!from)
        return {};
    for (const Bar& bar : line_.bars)
        if (bar.start_quarter + hair > *from && bar.number == std::to_string(last))
            return std::pair{*from, bar.start_quarter + bar.length_quarters};
    return {};
}

std::optional<double> Bars::after(double quarter) const
{
    for (const Bar& bar : line_.bars)
        if (bar.start_quarter > quarter + hair)
            return bar.start_quarter;
    return {};
}

double Bars::before(double quarter) const
{
    const Bar* bar = bar_at(quarter);
    if (bar == nullptr)
        return 0.0;
    if (quarter - bar->start_quarter < 4.0 / bar->beat_type && bar != &line_.bars.front())
        --bar;
    return bar->start_quarter;
}

} // namespace canebrake
