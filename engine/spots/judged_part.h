// SPDX-License-Identifier: MIT
#pragma once

#include "engine/part/part_to_play.h"
#include "engine/spots/judge.h"

#include <deque>
#include <vector>

namespace canebrake
{

/// A part as it was played and judged, stretch by stretch.
class JudgedPart
{
public:
    struct Stretch {
        PartToPlay::Stretch* played = nullptr;
        Part part; ///< the plan
        std::vector<Spot> spots;
    };

    /// Judges a part that is ready to play. It keeps what it was given.
    JudgedPart(PartToPlay, const RenderSettings&, const JudgeOptions& = {});
    JudgedPart(const JudgedPart&) = delete;
    JudgedPart& operator=(const JudgedPart&) = delete;

    const PartToPlay& played() const { return played_; }
    const RenderSettings& settings() const { return settings_; }
    const std::deque<Stretch>& stretches() const { return stretches_; }
    Performed performed(const Stretch&) const;

private:
    PartToPlay played_;
    RenderSettings settings_;
    std::deque<Stretch> stretches_;
};

} // namespace canebrake
