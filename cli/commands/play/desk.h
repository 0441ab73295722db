// SPDX-License-Identifier: MIT
#pragma once

#include "cli/audio/device.h"
#include "cli/commands/play/bars.h"
#include "cli/commands/play/coming.h"
#include "cli/commands/play/keys.h"
#include "cli/commands/play/options.h"
#include "cli/commands/play/screen.h"
#include "engine/live/played_part.h"
#include "engine/live/player.h"

#include <optional>
#include <string>

namespace canebrake
{

/// The player's desk: what each key does, and what the transport line tells.
class Desk
{
public:
    Desk(PlayedPart&, LivePlayer&, Outlet&, const Device&, Screen&, const PlayRequest&, LivePlayer::Stretch);

    void obey(const Key&);
    bool ends() const { return ends_; }
    /// Draws the transport line; `typing`: a number that is being typed.
    void show(const std::string& typing);

private:
    void change(const Manner&);
    void go_on();
    void stop(Order::Kind);
    void to_bars(const std::string& typed);
    void repeat_sign();
    void louder(double decibels);
    void next_clarinet();
    std::string round_in_words() const;

    PlayedPart& part_;
    LivePlayer& player_;
    Outlet& outlet_;
    const Device& device_;
    Screen& screen_;
    std::shared_ptr<const TakeView> first_; ///< bars are the same in every take
    Bars bars_;
    Coming coming_;
    Manner manner_;
    double gain_db_;
    LivePlayer::Stretch round_;
    std::optional<double> round_from_; ///< after the first repeat sign
    bool going_ = true, ends_ = false;
};

} // namespace canebrake
