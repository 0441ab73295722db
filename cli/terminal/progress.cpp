// SPDX-License-Identifier: MIT
#include "cli/terminal/progress.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <ostream>
#include <string_view>
#include <sys/ioctl.h>
#include <unistd.h>

namespace canebrake
{

int terminal_columns()
{
    const char* const kind = std::getenv("TERM");
    if (::isatty(STDERR_FILENO) == 0 || kind == nullptr || std::string_view(kind) == "dumb")
        return 0;
    winsize size{};
    return ::ioctl(STDERR_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : 80;
}

Progress::Progress(std::ostream& out, int columns)
    : out_(out), columns_(columns), next_(Clock::now() + std::chrono::seconds(1))
{
}

Progress::~Progress()
{
    wipe();
}

void Progress::show(double done_s, double whole_s)
{
    const auto now = Clock::now();
    if (columns_ == 0 || now < next_ || !(whole_s > 0.0))
        return;
    next_ = now + std::chrono::milliseconds(100);
    const double share = std::clamp(done_s / whole_s, 0.0, 1.0);
    const std::string figures = fmt::format(" {:.0f} of {:.0f} s", std::min(done_s, whole_s), whole_s);
    const int width = std::clamp(columns_ - 1 - int(figures.size()), 0, 40);
    const int filled = int(std::floor(share * width));
    std::string text(std::size_t(filled), '#');
    text.append(std::size_t(width - filled), '.');
    text += figures;
    out_ << '\r' << text.substr(0, std::size_t(std::max(0, columns_ - 1))) << std::flush;
    drawn_ = true;
}

void Progress::wipe()
{
    if (drawn_)
        out_ << "\r\033[K" << std::flush;
    drawn_ = false;
}

} // namespace canebrake
