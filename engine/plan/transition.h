// SPDX-License-Identifier: MIT
#pragma once

#include "models/instruments/hands.h"

#include <array>
#include <cstddef>
#include <span>

namespace canebrake
{

/// What one finger does between two fingerings.
enum class Motion {
    stays,
    presses, ///< comes down on a hole or key
    lifts,   ///< leaves it
    rolls,   ///< changes what it holds without leaving: thumb to the register key, index to a throat key
    slides   ///< must leave one hole or key and find another
};

struct FingerMove {
    Finger finger{};
    Motion motion = Motion::stays;
    KeySet from = 0, to = 0;
};

/// All that moves from one fingering to the next. Holds no memory of its own.
class Transition
{
public:
    Transition(const Hands& from, const Hands& to);

    std::span<const FingerMove> moves() const { return {moves_.data(), count_}; } ///< left thumb first
    std::size_t down(bool left) const { return down_[left]; } ///< fingers of that hand that press
    std::size_t up(bool left) const { return up_[left]; }
    std::size_t across(bool left) const { return across_[left]; } ///< roll or slide
    bool little_finger_slide() const { return little_slide_; }
    bool same_hand_contrary() const; ///< one finger of a hand comes down as another goes up
    /// One hand closes as the other opens. Little fingers that relieve each other, C5 left to B4 right, do
    /// not count: one is down before the other goes.
    bool hands_contrary() const;
    bool register_key() const { return register_key_; } ///< the register key goes down or up

    /// How much there is to do, in plain finger moves. One finger 1, a little finger 1.5, thumb 1.2, a side
    /// key 1.3; a roll 1.4; a slide 3 (little finger 3.5); 2 for each finger that goes against another of its
    /// hand; 0.5 for each against the other hand; 1 for the register key. Common practice, no
    /// source.
    double effort() const { return effort_; }

    /// Seconds an unhurried professional takes for it: one finger about 70 ms a note, each plain finger more
    /// 4 ms, and so on with the effort. Notes a second up to which it stays easy are 1 over this.
    double easy_seconds() const;

private:
    std::array<FingerMove, finger_count> moves_;
    std::size_t count_ = 0;
    std::array<std::size_t, 2> down_{}, up_{}, across_{};
    std::size_t relay_ = 0; // little fingers that relieve each other: one may come early
    bool little_slide_ = false, register_key_ = false;
    double effort_ = 0.0;
};

} // namespace canebrake
