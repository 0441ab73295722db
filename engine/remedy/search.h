// SPDX-License-Identifier: MIT
#pragma once

#include "engine/remedy/ideas.h"

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

namespace canebrake
{

/// A change that was tried and helps.
struct Remedy {
    Idea idea{};
    Figures before{}, after{};     ///< at the spot's place, judged with the music around it, by ear
    std::optional<Cause> left{};   ///< what is still rough there
    std::optional<double> tempo{}; ///< the new one, quarters a minute
    /// Of another instrument: the passage it takes over, rough places in it before and after.
    std::optional<Window> passage{};
    std::size_t passage_before = 0, passage_after = 0;
    bool everywhere = false; ///< it can be made wherever the spot comes back
    double score = 0.0;      ///< intrusion over help: the smaller, the better
};

/// One spot with its ways out, best first.
struct SpotRemedies {
    PlacedSpot found{};
    std::vector<NoteRange> again{}; ///< where it comes back
    std::vector<Remedy> remedies{};
    std::size_t tried = 0;    ///< changes
    bool judged_alone = true; ///< whether the place is as rough in its surroundings as in the whole part
};

/// Intrusion over help: the smaller, the better. `after` is milder than `before`.
double score_of(const Idea&, const Figures& before, const Figures& after);

struct Scene;

/// Tries changes on spots of a part. Each is judged again, by ear, with some bars before and after its place;
/// kept is what lowers the grade there and makes no other place worse. Another instrument is judged on the
/// whole passage, to the next rests that leave time to change it, and is kept if the passage as a whole gets
/// easier too. Of each kind the best is told, and a second one only if it leaves the place milder still.
///
/// The order is intrusion (change.h) divided by help: steps of the grade, and half a step more where nothing
/// is left.
class RemedySearch
{
public:
    RemedySearch(const TrialRoom& room, std::size_t most) : room_(room), most_(most) {}

    /// `spot` is one of that stretch of the part, which was judged in the same room.
    SpotRemedies find(const JudgedPart&, const JudgedPart::Stretch&, const Spot& spot);

    /// From a rest that is long enough to change instruments to the next.
    Window passage_of(NoteRange) const;

private:
    std::optional<Remedy> tried(const Scene&, const Idea&) const;
    std::optional<Remedy> on_another(const Scene&, const Idea&);
    const Verdicts& passage_verdicts(const std::string& on, const Window&, bool listen);

    const TrialRoom& room_;
    std::size_t most_;
    std::map<std::tuple<std::string, double, bool>, Verdicts> passages_; // instrument, begin, by ear or rule
};

/// The whole part with a remedy in it: at its spot, and wherever that comes back if it can. One line a
/// player; notes are numbered still.
std::vector<Line> with_remedy(const TrialRoom&, const SpotRemedies&, const Remedy&);

} // namespace canebrake
