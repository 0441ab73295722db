// SPDX-License-Identifier: MIT
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <termios.h>
#include <vector>

namespace canebrake
{

/// What can be asked for while it plays.
enum class Ask {
    pause_or_go,
    bar_on,
    bar_back,
    to_bars, ///< a typed number: to that bar; two: round and round
    round,   ///< repeat sign: from here; to here; no more
    quicker,
    slower,
    as_written,
    softer,
    louder,
    ideal,
    studio,
    learner,
    next_clarinet,
    tacet,
    end
};

struct Key {
    Ask ask{};
    std::string typed{}; ///< for Ask::to_bars
};

/// The keys, told for the help page; at most 80 columns.
std::string key_help();

/// Bytes of a terminal → what was asked for. Half a cursor key or a number that is being typed is kept for
/// the next bytes.
class KeyReader
{
public:
    std::vector<Key> read(std::string_view bytes);
    const std::string& typing() const { return typed_; } ///< a number not yet ended by Enter

private:
    std::string held_, typed_;
};

/// The terminal behind standard input, giving keys one by one while this exists; nothing if it is none.
class Keyboard
{
public:
    Keyboard();
    ~Keyboard();
    Keyboard(const Keyboard&) = delete;
    Keyboard& operator=(const Keyboard&) = delete;

    bool there() const { return there_; }
    /// Waits at most so long; what was asked for meanwhile.
    std::vector<Key> wait(int milliseconds);
    bool closed() const { return closed_; } ///< the terminal is gone
    const std::string& typing() const { return reader_.typing(); }

private:
    bool there_ = false, closed_ = false;
    termios before_{};
    KeyReader reader_;
};

} // namespace canebrake
