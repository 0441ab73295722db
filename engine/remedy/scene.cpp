// SPDX-License-Identifier: MIT
#include "engine/remedy/scene.h"

#include <algorithm>

namespace canebrake
{

std::optional<Scene> scene_of(const TrialRoom& room, const PlacedSpot& found)
{
    std::vector<Window> windows{room.around(found.place, 2), room.around(found.place, 8), room.everything()};
    windows.erase(std::unique(windows.begin(), windows.end()), windows.end());
    for (const Window& window : windows) {
        Scene scene{found, window, room.verdicts(room.line(), window, "", true), {}, false};
        const auto is_it = [&](const PlacedSpot& v) {
            return v.spot.cause == found.spot.cause && v.place.from <= found.place.to &&
                   found.place.from <= v.place.to;
        };
        const auto is_graded = [&](const PlacedSpot& v) {
            return is_it(v) && v.spot.grade == found.spot.grade;
        };
        auto here = std::find_if(scene.by_ear.begin(), scene.by_ear.end(), [&](const PlacedSpot& v) {
            return is_graded(v) && v.place.from == found.place.from && v.place.to == found.place.to;
        });
        if (here == scene.by_ear.end())
            here = std::find_if(scene.by_ear.begin(), scene.by_ear.end(), is_graded);
        if (here == scene.by_ear.end())
            continue;
        scene.target = *here;
        scene.target.place = found.place;
        scene.by_rule = room.verdicts(room.line(), window, "", false);
        for (const PlacedSpot& v : scene.by_rule)
            scene.rule_decides |= is_it(v) && v.spot.grade == found.spot.grade;
        switch (found.spot.cause) { // the ear may ease these
        case Cause::throat:
        case Cause::speech:
        case Cause::pitch:
            scene.rule_decides = false;
            break;
        default:
            break;
        }
        return scene;
    }
    return {};
}

bool helps(const Comparison& c)
{
    return c.after.grade < c.before.grade && !c.worse_elsewhere;
}

} // namespace canebrake
