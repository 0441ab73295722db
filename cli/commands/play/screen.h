// SPDX-License-Identifier: MIT
#pragma once

#include <iosfwd>
#include <string>

namespace canebrake
{

/// What stands in the transport line.
struct Transport {
    std::string bar; ///< printed number; empty: the line has no bars
    double beat = 1.0;
    std::string written, fingering; ///< of the note that sounds
    double tempo = 100.0;           ///< quarters a minute
    std::string player, instrument;
    std::string state;  ///< "paused", "tacet", "changes to learner"; empty: it plays
    std::string round;  ///< "12-14"; empty: it does not repeat
    std::string typing; ///< a number that is being typed
    std::string coming; ///< the next rough place: "bar 14 crossing"
    double gain_db = 0.0;
    std::size_t late = 0;
};

/// One line of plain text, at most `columns` − 1 characters: what matters less goes first.
std::string transport_line(const Transport&, int columns);

/// The line of a terminal that is drawn over and over; nothing where `columns` is 0.
class Screen
{
public:
    Screen(std::ostream&, int columns);
    ~Screen();
    Screen(const Screen&) = delete;
    Screen& operator=(const Screen&) = delete;
    bool there() const { return columns_ > 0; }
    void show(const Transport&);
    /// A line of its own, above.
    void say(const std::string&);

private:
    std::ostream& out_;
    int columns_;
    std::string shown_;
};

} // namespace canebrake
