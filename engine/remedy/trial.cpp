// SPDX-License-Identifier: MIT
#include "engine/remedy/trial.h"

#include "engine/spots/listening_plan.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

bool overlap(NoteRange a, NoteRange b)
{
    return a.from <= b.to && b.from <= a.to;
}

bool same(NoteRange a, NoteRange b)
{
    return a.from == b.from && a.to == b.to;
}

} // namespace

TrialRoom::TrialRoom(Line chosen, const LineRequest& request, TrillBooks& books)
    : line_(part_to_play(std::move(chosen), request, books).line), request_(request), books_(&books)
{
    // What the request says of bars, tempo and pitch is done now.
    request_.bars.reset();
    request_.tempo.reset();
    request_.pitch = PitchBasis::as_file;
    for (std::size_t i = 0; i < line_.notes.size(); ++i)
        line_.notes[i].source.number = i;
}

Window TrialRoom::everything() const
{
    const double last = line_.notes.empty() ? 0.0 : line_.notes.back().start_quarter + 1.0;
    return {0.0, std::max(line_.end_quarter, last)};
}

Window TrialRoom::around(NoteRange range, int more_bars) const
{
    if (line_.bars.empty() || range.to >= line_.notes.size())
        return everything();
    const auto bar_of = [&](std::size_t note) {
        const auto after =
            std::upper_bound(line_.bars.begin(), line_.bars.end(), line_.notes[note].start_quarter + 1e-6,
                             [](double q, const Bar& b) { return q < b.start_quarter; });
        return std::max<std::ptrdiff_t>(0, after - line_.bars.begin() - 1);
    };
    const auto bars = std::ptrdiff_t(line_.bars.size());
    const auto first = std::max<std::ptrdiff_t>(0, bar_of(range.from) - more_bars);
    const auto last = std::min(bars - 1, bar_of(range.to) + more_bars);
    Window window{line_.bars[std::size_t(first)].start_quarter, everything().to};
    if (first == 0)
        window.from = 0.0;
    if (last + 1 < bars)
        window.to = line_.bars[std::size_t(last) + 1].start_quarter;
    return window;
}

PartToPlay TrialRoom::played(Line line, const std::string& on) const
{
    LineRequest request = request_;
    if (!on.empty())
        request.on = on;
    return part_to_play(std::move(line), request, *books_);
}

JudgedPart TrialRoom::judged(Line line, const std::string& on, const JudgeOptions& options) const
{
    return JudgedPart(played(std::move(line), on), request_.settings, options);
}

Verdicts TrialRoom::verdicts(const Line& version, const Window& window, const std::string& on,
                             bool listen) const
{
    Line cut = cut_to_quarters(version, window.from, window.to);
    if (cut.notes.empty())
        return {};
    JudgeOptions options;
    options.listen = listen;
    options.ideal = false;
    return verdicts_of(judged(std::move(cut), on, options));
}

Heard TrialRoom::heard_at(const Line& version, const Window& window, const std::string& on, const Spot& kind,
                          NoteRange place) const
{
    Line cut = cut_to_quarters(version, window.from, window.to);
    if (cut.notes.empty())
        return {};
    JudgeOptions silent;
    silent.listen = silent.ideal = false;
    const JudgedPart part = judged(std::move(cut), on, silent);
    for (const JudgedPart::Stretch& stretch : part.stretches()) {
        const Performed p = part.performed(stretch);
        std::optional<NoteRange> here;
        for (std::size_t i = 0; i < p.size(); ++i) {
            const std::size_t number = p.printed(i).source.number;
            if (number < place.from || number > place.to)
                continue;
            here = here ? NoteRange{here->from, i} : NoteRange{i, i};
        }
        if (!here || here->to - here->from < place.to - place.from)
            continue; // some of it is with another player
        std::vector<Spot> asked{kind};
        asked[0].from = here->from;
        asked[0].to = here->to;
        asked[0].heard = {};
        asked[0].again.clear();
        listen_to(p, stretch.part, part.settings(), asked, 1);
        return asked[0].heard;
    }
    return {};
}

NoteRange place_of(const Performed& p, std::size_t from, std::size_t to)
{
    return {p.printed(from).source.number, p.printed(std::min(to, p.size() - 1)).source.number};
}

Verdicts verdicts_of(const JudgedPart& part)
{
    Verdicts all;
    for (const JudgedPart::Stretch& stretch : part.stretches()) {
        const Performed p = part.performed(stretch);
        for (const Spot& spot : stretch.spots) {
            all.push_back({spot, place_of(p, spot.from, spot.to)});
            for (const std::size_t again : spot.again)
                all.push_back({spot, place_of(p, again, again + spot.to - spot.from)});
        }
    }
    return all;
}

double trouble(const Verdicts& verdicts)
{
    double sum = 0.0;
    for (const PlacedSpot& placed : verdicts)
        sum += weight(placed.spot.grade);
    return sum;
}

Comparison compare(const Verdicts& before, const std::vector<Verdicts>& after, const PlacedSpot& target)
{
    Comparison result;
    result.before = {target.spot.grade, target.spot.heard, target.spot.pace};
    result.trouble_before = trouble(before);
    result.places_before = before.size();
    const auto worst_before = [&](NoteRange place) {
        Grade worst_there = Grade::easy;
        for (const PlacedSpot& old : before)
            if (overlap(old.place, place))
                worst_there = worst(worst_there, old.spot.grade);
        return worst_there;
    };
    // Another trouble that stood there already is not this remedy's to cure.
    const auto stood = [&](const PlacedSpot& now) {
        return std::any_of(before.begin(), before.end(), [&](const PlacedSpot& old) {
            const bool same_cause = old.spot.cause == target.spot.cause;
            const bool there = same_cause ? same(old.place, now.place) && !same(old.place, target.place)
                                          : overlap(old.place, now.place);
            return old.spot.cause == now.spot.cause && there && old.spot.grade >= now.spot.grade;
        });
    };
    for (const Verdicts& verdicts : after) {
        result.trouble_after += trouble(verdicts);
        result.places_after += verdicts.size();
        for (const PlacedSpot& now : verdicts) {
            if (!overlap(now.place, target.place)) {
                result.worse_elsewhere |= now.spot.grade > worst_before(now.place);
                continue;
            }
            if (stood(now))
                continue;
            if (!result.left || now.spot.grade > result.after.grade) {
                result.left = now.spot.cause;
                result.after = {now.spot.grade, now.spot.heard, now.spot.pace};
            }
        }
    }
    return result;
}

} // namespace canebrake
