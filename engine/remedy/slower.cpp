// SPDX-License-Identifier: MIT
#include "engine/remedy/slower.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

namespace canebrake
{
namespace
{

constexpr double slowest_share = 0.3; // nobody wants it slower still

/// A line with one of its places at another tempo, and the section of one marking around it.
struct AtTempo {
    double marked; // quarters a minute

    Line operator()(const Line& line, NoteRange place, int tempo) const
    {
        const double from = line.notes[place.from].start_quarter;
        const Note& last = line.notes[place.to];
        return at_share_of_tempo(line, from, last.start_quarter + last.length_quarters, tempo / marked);
    }
};

/// Looks for the limit: first by the rules, which cost little, then by ear.
class TempoSearch
{
public:
    TempoSearch(const TrialRoom& room, const Scene& scene, Grade goal)
        : room_(room), scene_(scene),
          goal_(goal), at_tempo_{TempoMap(room.line().tempo)
                                     .tempo_at(room.line().notes[scene.target.place.from].start_quarter)},
          slowest_(int(std::ceil(slowest_share * at_tempo_.marked))),
          fails_(int(std::ceil(at_tempo_.marked))) // at its own tempo it is rough
    {
    }

    /// Quarters a minute; 0: none.
    int fastest()
    {
        if (!begin_by_rule())
            return 0;
        bisect(false);
        if (!good(holds_, true)) {
            if (!begin_by_ear())
                return 0;
            bisect(true);
        }
        return holds_;
    }
    Line version(int tempo) const { return at_tempo_(room_.line(), scene_.target.place, tempo); }
    Comparison judged(int tempo, bool listen) const
    {
        return compare(listen ? scene_.by_ear : scene_.by_rule,
                       {room_.verdicts(version(tempo), scene_.window, "", listen)}, scene_.target);
    }
    const AtTempo& at_tempo() const { return at_tempo_; }

private:
    bool good(int tempo, bool listen) const
    {
        const Comparison c = judged(tempo, listen);
        return c.after.grade <= goal_ && !c.worse_elsewhere;
    }
    void bisect(bool listen)
    {
        while (fails_ - holds_ > 1) {
            const int middle = (fails_ + holds_) / 2;
            (good(middle, listen) ? holds_ : fails_) = middle;
        }
    }
    /// Share of its tempo at which the limits of fingers and tongue lie.
    double likely_share() const
    {
        const Spot& spot = scene_.target.spot;
        if (goal_ == Grade::awkward && spot.pace && spot.pace->rate > 0.0) {
            const int practice = of_the_fingers(spot.cause) ? int(room_.request().settings.kit.reading) : 0;
            return spot.pace->limits[std::size_t(std::min(2, 1 + practice))] / spot.pace->rate;
        }
        return spot.safe_at > 0.0 ? spot.safe_at : 0.95;
    }
    /// Slower is not always better: a short throat note becomes a long one. So first where the limit lies.
    bool begin_by_rule()
    {
        const double share = likely_share();
        for (const double part :
             {std::min(share, 0.99), 0.9 * share, 0.75 * share, 0.5 * share, slowest_share})
            if (const int tempo = std::max(slowest_, int(part * at_tempo_.marked));
                tempo < fails_ && good(tempo, false)) {
                holds_ = tempo;
                return holds_ != 0;
            }
        return false;
    }
    bool begin_by_ear()
    {
        fails_ = holds_;
        holds_ = slowest_;
        for (double part = 0.93; part > slowest_share; part -= 0.12)
            if (const int tempo = int(part * fails_); tempo > slowest_ && good(tempo, true)) {
                holds_ = tempo;
                return true;
            }
        return good(holds_, true);
    }

    const TrialRoom& room_;
    const Scene& scene_;
    Grade goal_;
    AtTempo at_tempo_;
    int slowest_, fails_, holds_ = 0; // quarters a minute
};

std::string bar_at(const Line& line, double quarter)
{
    std::string bar = line.bars.empty() ? "1" : line.bars.front().number;
    for (const Bar& b : line.bars)
        if (b.start_quarter <= quarter + 1e-6)
            bar = b.number;
    return bar;
}

Idea idea_of(const Line& line, NoteRange place, const AtTempo& at_tempo, int tempo)
{
    const Note &first = line.notes[place.from], &last = line.notes[place.to];
    const auto [from, to] =
        tempo_section(line, first.start_quarter, last.start_quarter + last.length_quarters);
    return {ChangeKind::tempo,
            fmt::format("quarter = {} instead of {:.4g}, bars {} to {}", tempo, at_tempo.marked,
                        bar_at(line, from), bar_at(line, std::max(from, to - 1e-3))),
            "all of it is slower",
            6.0 * (1.0 - tempo / at_tempo.marked),
            [at_tempo, tempo](const Line& l, NoteRange there) {
                return std::vector<Line>{at_tempo(l, there, tempo)};
            },
            {}};
}

} // namespace

std::optional<Remedy> slower(const TrialRoom& room, const Scene& scene, Grade goal)
{
    TempoSearch search(room, scene, goal);
    const int tempo = search.fastest();
    if (tempo == 0)
        return {};
    const Comparison c = search.judged(tempo, true);
    if (!helps(c))
        return {};
    const Idea idea = idea_of(room.line(), scene.target.place, search.at_tempo(), tempo);
    Remedy remedy{idea, c.before, c.after, c.left, double(tempo), {}, 0, 0, true, 0.0};
    remedy.after.heard =
        room.heard_at(search.version(tempo), scene.window, "", scene.target.spot, scene.target.place);
    remedy.score = score_of(idea, c.before, c.after);
    return remedy;
}

} // namespace canebrake
