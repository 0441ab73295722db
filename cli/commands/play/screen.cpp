// SPDX-License-Identifier: MIT
#include "cli/commands/play/screen.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <ostream>
#include <vector>

namespace canebrake
{

std::string transport_line(const Transport& t, int columns)
{
    // The left half keeps its columns, so that the eye finds them.
    std::string line = t.bar.empty() ? fmt::format("beat {:<10.0f}", std::floor(t.beat))
                                     : fmt::format("bar {:<4}beat {:<2.0f}", t.bar, std::floor(t.beat));
    line += fmt::format("{:<5}{:<22} ", t.written, t.fingering);
    std::vector<std::string> more;
    if (!t.typing.empty())
        more.push_back("to " + t.typing + "_");
    if (!t.state.empty())
        more.push_back(t.state);
    more.push_back(fmt::format("{:.0f} {} {}", t.tempo, t.player, t.instrument));
    if (!t.round.empty())
        more.push_back("|:" + t.round + ":|");
    if (t.late > 0)
        more.push_back(fmt::format("{} late", t.late));
    if (!t.coming.empty())
        more.push_back(t.coming);
    more.push_back(fmt::format("{:+.0f} dB", t.gain_db == 0.0 ? 0.0 : t.gain_db));
    const auto most = std::size_t(std::max(0, columns - 1));
    std::string rest;
    for (const std::string& word : more)
        if (line.size() + rest.size() + word.size() + (rest.empty() ? 0 : 2) <= most)
            rest += (rest.empty() ? "" : "  ") + word;
    line += rest;
    return line.substr(0, most);
}

Screen::Screen(std::ostream& out, int columns) : out_(out), columns_(columns) {}

Screen::~Screen()
{
    if (!shown_.empty())
        out_ << '\n' << std::flush;
}

void Screen::show(const Transport& transport)
{
    if (columns_ == 0)
        return;
    std::string line = transport_line(transport, columns_);
    if (line == shown_)
        return;
    shown_ = std::move(line);
    out_ << '\r' << shown_ << "\033[K" << std::flush;
}

void Screen::say(const std::string& text)
{
    out_ << (shown_.empty() ? "" : "\r\033[K") << text << '\n' << shown_ << std::flush;
}

} // namespace canebrake
