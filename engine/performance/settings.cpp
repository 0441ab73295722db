// SPDX-License-Identifier: MIT
#include "engine/performance/settings.h"

namespace canebrake
{

const Skill& skill(Player player)
{
    static const Skill ideal{0.0, 1.0, 1000.0, 6.0, 0.0, 0.0, 0.018, 6.0, true, true, 0.0, 0.0, 1.0};
    static const Skill studio{0.0015, 0.75, 45.0, 6.0, 0.14, 0.0, 0.018, 6.0, true, false, 0.35, 0.025, 1.0};
    static const Skill learner{0.012, 0.30, 10.0, 1.5, 0.0, 0.0, 0.06, 0.0, false, false, 0.0, 0.060, 0.4};
    return player == Player::ideal ? ideal : player == Player::studio ? studio : learner;
}

} // namespace canebrake
