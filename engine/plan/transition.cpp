// SPDX-License-Identifier: MIT
#include "engine/plan/transition.h"

#include <algorithm>
#include <bit>

namespace canebrake
{

namespace
{

Motion motion(Finger finger, KeySet from, KeySet to)
{
    if (from == to)
        return Motion::stays;
    if (from == 0)
        return Motion::presses;
    if (to == 0)
        return Motion::lifts;
    // Thumb to and from the register key, the index to and from a throat key or between them, the ring finger
    // to the sliver beside its hole, two side keys under one finger: a roll.
    const bool little = is_little(finger);
    const bool from_hole = finger == Finger::right_index && ((from | to) & key("R1")) != 0;
    return little || from_hole ? Motion::slides : Motion::rolls;
}

double effort_of(const FingerMove& move)
{
    const bool little = is_little(move.finger);
    switch (move.motion) {
    case Motion::stays:
        return 0.0;
    case Motion::slides:
        return little ? 3.5 : 3.0;
    case Motion::rolls: {
        const bool adds_register_key =
            move.finger == Finger::left_thumb && ((move.from ^ move.to) & ~key("R")) == 0;
        return adds_register_key ? 1.2 : 1.4;
    }
    case Motion::presses:
    case Motion::lifts:
        break;
    }
    if (little)
        return 1.5;
    if (move.finger == Finger::left_thumb)
        return 1.2;
    const KeySet side = key("S1") | key("S2") | key("S3") | key("S4");
    return ((move.from | move.to) & side) != 0 ? 1.3 : 1.0;
}

} // namespace

Transition::Transition(const Hands& from, const Hands& to)
{
    for (std::size_t i = 0; i < finger_count; ++i) {
        const Finger finger{std::uint8_t(i)};
        const FingerMove move{finger, motion(finger, from[finger], to[finger]), from[finger], to[finger]};
        if (move.motion == Motion::stays)
            continue;
        moves_[count_++] = move;
        const bool left = is_left(finger);
        down_[left] += move.motion == Motion::presses;
        up_[left] += move.motion == Motion::lifts;
        across_[left] += move.motion == Motion::rolls || move.motion == Motion::slides;
        little_slide_ |= is_little(finger) && move.motion == Motion::slides;
        effort_ += effort_of(move);
    }
    const auto presses = [&](Finger f) { return from[f] == 0 && to[f] != 0; };
    const auto lifts = [&](Finger f) { return from[f] != 0 && to[f] == 0; };
    const Finger l = Finger::left_little, r = Finger::right_little;
    relay_ = (presses(l) && lifts(r)) || (lifts(l) && presses(r));
    register_key_ = ((from.all() ^ to.all()) & key("R")) != 0;
    for (const bool left : {false, true})
        effort_ += 2.0 * double(std::min(down_[left], up_[left]));
    effort_ += 0.5 * (double(std::min(down_[true], up_[false]) + std::min(up_[true], down_[false])) -
                      double(relay_));
    effort_ += register_key_ ? 1.0 : 0.0;
}

bool Transition::same_hand_contrary() const
{
    return (down_[0] > 0 && up_[0] > 0) || (down_[1] > 0 && up_[1] > 0);
}

bool Transition::hands_contrary() const
{
    return std::min(down_[0], up_[1]) + std::min(up_[0], down_[1]) > relay_;
}

double Transition::easy_seconds() const
{
    if (count_ == 0)
        return 0.05;
    double seconds = 0.070 + 0.0033 * std::max(0.0, effort_ - 1.0);
    for (const FingerMove& move : moves())
        if (move.motion == Motion::slides)
            seconds += is_little(move.finger) ? 0.20 : 0.08;
    if (same_hand_contrary())
        seconds += 0.06;
    if (hands_contrary())
        seconds += 0.02;
    return seconds;
}

} // namespace canebrake
