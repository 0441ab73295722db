// SPDX-License-Identifier: MIT
#include "engine/comparison/request.h"

namespace canebrake
{

void fill_defaults(ComparisonRequest& request)
{
    using Kind = ComparisonRequest::Kind;
    if (request.levels.empty())
        request.levels = {1.0, 4.0, 6.0};
    if (request.players.empty()) {
        const Player own = request.settings.player;
        const bool alone = request.kind == Kind::line && request.instruments.empty();
        request.players = !alone                 ? std::vector{own}
                          : own == Player::ideal ? std::vector{own, Player::studio}
                                                 : std::vector{Player::ideal, own};
    }
    if (request.kind == Kind::tones && request.instruments.empty())
        request.instruments = {"B-flat"};
}

} // namespace canebrake
