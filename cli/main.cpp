// SPDX-License-Identifier: MIT
#include "cli/run.h"
#include "cli/terminal/progress.h"

#include <csignal>
#include <iostream>
#include <string>
#include <vector>

namespace
{

std::atomic<bool> stop{false};
std::atomic<int> signal_seen{0};
static_assert(std::atomic<bool>::is_always_lock_free && std::atomic<int>::is_always_lock_free);

/// The first time, files half written are taken away; a second ends the program at once.
void break_off(int number)
{
    stop = true;
    signal_seen = number;
    std::signal(number, SIG_DFL);
}

} // namespace

int main(int argc, char** argv)
{
    for (const int number : {SIGINT, SIGTERM, SIGHUP})
        if (std::signal(number, SIG_IGN) != SIG_IGN) // ignored from outside: so it stays
            std::signal(number, break_off);
    const std::vector<std::string> args(argv + (argc > 0 ? 1 : 0), argv + argc);
    const canebrake::Console console{std::cout, std::cerr, canebrake::terminal_columns(), &stop};
    const int code = canebrake::run(args, console);
    if (signal_seen != 0) // tell the shell the truth
        std::raise(signal_seen);
    return code;
}
