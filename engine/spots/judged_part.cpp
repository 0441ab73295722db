// SPDX-License-Identifier: MIT
#include "engine/spots/judged_part.h"

namespace canebrake
{

JudgedPart::JudgedPart(PartToPlay played, const RenderSettings& settings, const JudgeOptions& options)
    : played_(std::move(played)), settings_(settings)
{
    for (PartToPlay::Stretch& stretch : played_.stretches) {
        Stretch& judged = stretches_.emplace_back();
        judged.played = &stretch;
        judged.part = prepare_part(*stretch.book, stretch.line, settings_);
        judged.spots = judge(performed(judged), options);
    }
}

Performed JudgedPart::performed(const Stretch& stretch) const
{
    return {*stretch.played->book, stretch.played->line, stretch.part, settings_};
}

} // namespace canebrake
