// SPDX-License-Identifier: MIT
#include "engine/plan/slur_speed.h"

#include <algorithm>

namespace canebrake
{

SlurSpeed slur_speed(const Fingering& from, const Fingering& to, const Transition& moves, Player player)
{
    const double fingers = 1.0 / moves.easy_seconds();
    SlurSpeed speed{fingers, awkward_share * fingers, SlurLimit::fingers};
    const auto [low, high] = std::minmax(from.written, to.written);
    const int width = high.number - low.number;
    const auto no_faster = [&](double easy, double awkward, SlurLimit limit) {
        if (easy < speed.easy)
            speed = {easy, std::max(easy, std::min(speed.awkward, awkward)), limit};
    };
    const bool other_register = from.register_number != to.register_number;
    if (other_register && moves.moves().size() == 1 && moves.register_key()) { // a twelfth: the thumb alone
        const bool down = to.written < from.written;
        no_faster(down ? 3.0 : 6.0, down ? 4.5 : 9.0, SlurLimit::new_register);
        if (player == Player::learner) {
            speed.easy *= learner_share;
            speed.awkward *= learner_share;
        }
        return speed;
    }
    const bool over_the_break = other_register && in_throat(low) && high.number <= clarion_high;
    if (over_the_break && width <= 2)
        no_faster(10.0, 13.0, SlurLimit::break_step);
    else if (other_register && width >= 12)
        no_faster(3.0, 5.5, SlurLimit::new_register);
    else if (over_the_break)
        no_faster(4.0, 7.0, SlurLimit::throat_leap);
    else if (other_register && width > 4)
        no_faster(4.0, 7.0, SlurLimit::new_register);
    else if (low.number > throat_high && width >= 12)
        no_faster(3.0, 5.5, SlurLimit::wide);
    if (to.written < from.written && high.number >= clarion_high && width >= 12 && moves.moves().size() > 1)
        no_faster(3.0 / awkward_share, 3.0, SlurLimit::hangs);
    if (player == Player::learner) {
        speed.easy *= learner_share;
        speed.awkward *= learner_share;
    }
    return speed;
}

} // namespace canebrake
