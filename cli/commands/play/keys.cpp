// SPDX-License-Identifier: MIT
#include "cli/commands/play/keys.h"

#include <array>
#include <cerrno>
#include <chrono>
#include <poll.h>
#include <thread>
#include <unistd.h>
#include <utility>

namespace canebrake
{

namespace
{

// The letters are the trade's: p and f as dynamics, tacet, as written, the repeat sign, the players'
// initials.
constexpr std::array<std::pair<std::string_view, Ask>, 20> keys{{
    {" ", Ask::pause_or_go},   {"\033[C", Ask::bar_on},  {"\033OC", Ask::bar_on},  {"\033[D", Ask::bar_back},
    {"\033OD", Ask::bar_back}, {"\033[A", Ask::quicker}, {"\033OA", Ask::quicker}, {"\033[B", Ask::slower},
    {"\033OB", Ask::slower},   {"w", Ask::as_written},   {"p", Ask::softer},       {"f", Ask::louder},
    {"i", Ask::ideal},         {"s", Ask::studio},       {"l", Ask::learner},      {"c", Ask::next_clarinet},
    {"t", Ask::tacet},         {":", Ask::round},        {"q", Ask::end},          {"\x04", Ask::end},
}};

bool begins_a_key(std::string_view bytes)
{
    for (const auto& [name, ask] : keys)
        if (name.size() > bytes.size() && name.starts_with(bytes))
            return true;
    return false;
}

bool is_or_begins_a_key(std::string_view bytes)
{
    for (const auto& [name, ask] : keys)
        if (name == bytes)
            return true;
    return begins_a_key(bytes);
}

} // namespace

std::string key_help()
{
    return "Keys, on a terminal (with standard input piped it plays and ends):\n"
           "  t           tacet: silence at once; space goes on\n"
           "  space       pause, and on again\n"
           "  right left  a bar on, a bar back\n"
           "  24 Enter    to bar 24;  12-14 Enter: these bars over and over\n"
           "  :           repeat sign: from this bar, to this bar, no more\n"
           "  up down     quicker, slower by a twentieth;  w: as written\n"
           "  i s l       ideal, studio, learner play on from here\n"
           "  c           the next clarinet that has these notes plays on\n"
           "  p f         softer, louder by 3 dB, up to 0\n"
           "  q           end; Ctrl-C too\n";
}

std::vector<Key> KeyReader::read(std::string_view bytes)
{
    std::vector<Key> asked;
    for (const char byte : bytes) {
        held_ += byte;
        if ((byte >= '0' && byte <= '9') || byte == '-') {
            if (held_.size() == 1 && typed_.size() < 11)
                typed_ += byte;
            held_.clear();
            continue;
        }
        if (byte == '\r' || byte == '\n') {
            if (!typed_.empty())
                asked.push_back({Ask::to_bars, std::exchange(typed_, {})});
            held_.clear();
            continue;
        }
        if (byte == '\x7f' || byte == '\b') {
            if (!typed_.empty())
                typed_.pop_back();
            held_.clear();
            continue;
        }
        if (held_.size() > 1 && !is_or_begins_a_key(held_))
            held_ = byte; // what was begun is none: a lone Escape must not swallow the next key
        for (const auto& [name, ask] : keys)
            if (name == held_)
                asked.push_back({ask});
        if (!begins_a_key(held_)) {
            held_.clear();
            typed_.clear();
        }
    }
    return asked;
}

Keyboard::Keyboard()
{
    if (::isatty(STDIN_FILENO) == 0 || ::tcgetattr(STDIN_FILENO, &before_) != 0 ||
        ::tcgetpgrp(STDIN_FILENO) != ::getpgrp()) // in the background nobody types to us
        return;
    termios now = before_;
    now.c_lflag &= ~tcflag_t(ICANON | ECHO); // Ctrl-C stays a signal
    now.c_cc[VMIN] = 0;
    now.c_cc[VTIME] = 0;
    now.c_cc[VSUSP] = _POSIX_VDISABLE; // stopped, it would leave the device without sound
    there_ = ::tcsetattr(STDIN_FILENO, TCSANOW, &now) == 0;
}

Keyboard::~Keyboard()
{
    if (there_ && !closed_)
        ::tcsetattr(STDIN_FILENO, TCSANOW, &before_);
}

std::vector<Key> Keyboard::wait(int milliseconds)
{
    if (!there_ || closed_) {
        std::this_thread::sleep_for(std::chrono::milliseconds(milliseconds));
        return {};
    }
    pollfd in{STDIN_FILENO, POLLIN, 0};
    if (::poll(&in, 1, milliseconds) <= 0)
        return {};
    std::array<char, 64> bytes;
    const ssize_t got = ::read(STDIN_FILENO, bytes.data(), bytes.size());
    if (got > 0)
        return reader_.read({bytes.data(), std::size_t(got)});
    closed_ =
        (in.revents & (POLLHUP | POLLERR | POLLNVAL)) != 0 || (got < 0 && errno != EINTR && errno != EAGAIN);
    return {};
}

} // namespace canebrake
