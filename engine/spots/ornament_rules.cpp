// SPDX-License-Identifier: MIT
#include "engine/spots/rules.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

constexpr int lowest_smear = 74;        // written D5: below it pads, not fingers, would have to glide
constexpr int smallest_smear = 2;       // semitones, further down: fingers drawn off their holes
constexpr int falls_from = 81;          // A5: from here lip and tract can fall
constexpr int free_flutter_to = 74;     // written D5
constexpr double softest_flutter = 2.6; // ladder level: about p
constexpr std::array<double, 2> chromatic_over_break{10.0, 16.0}; // notes a second of a glissando
constexpr double measured_margin = 1.05; // a written-out tremolo over what the fingers do

/// The small notes of one ornament: [from, to].
struct Group {
    std::size_t from = 0, to = 0;
    Figure figure;
};

std::vector<Group> groups_of(const Performed& p)
{
    std::vector<Group> groups;
    for (std::size_t i = 0; i < p.size(); ++i) {
        const auto& figure = p.printed(i).figure;
        if (!figure || p.note(i).silent)
            continue;
        if (groups.empty() || groups.back().to + 1 != i || groups.back().figure.group != figure->group)
            groups.push_back({i, i, *figure});
        groups.back().to = i;
    }
    return groups;
}

bool over(int a, int b, int last_below)
{
    return std::min(a, b) <= last_below && std::max(a, b) > last_below;
}

/// Written notes of the ornament's two sides: its main note and the auxiliary furthest from it.
std::pair<int, int> sides(const Performed& p, const Group& group)
{
    int main = p.written(group.from), other = main;
    for (std::size_t i = group.from; i <= group.to; ++i)
        if (p.printed(i).figure->role == 0)
            main = p.written(i);
    for (std::size_t i = group.from; i <= group.to; ++i)
        if (p.printed(i).figure->role != 0 && std::abs(p.written(i) - main) > std::abs(other - main))
            other = p.written(i);
    return {main, other};
}

/// Whatever goes to and fro between two notes, by the best way there is.
std::optional<Spot> to_and_fro(const Performed& p, const Group& group)
{
    const auto [main, other] = sides(p, group);
    if (main == other)
        return {};
    const auto& ways = p.book.ways({std::min(main, other)}, std::abs(main - other));
    if (ways.empty())
        return {};
    const bool tremolo = group.figure.kind == OrnamentKind::two_note_tremolo;
    const bool once = group.figure.kind != OrnamentKind::trill && !tremolo; // a mordent, a turn
    Spot spot{tremolo ? Cause::tremolo : Cause::trill};
    spot.grade = harder(ways.front().grade, once ? -1 : 0);
    spot.from = group.from;
    spot.to = group.to;
    const double share = p.settings.player == Player::learner ? learner_share : 1.0;
    const double fastest = share * ways.front().notes_per_s;
    const double span = p.note(group.to).start_s - p.note(group.from).start_s;
    const double rate = span > 0.0 ? double(group.to - group.from) / span : 0.0;
    const Transition moves(ways.front().lower.hands, ways.front().upper.hands);
    if (moves.moves().size() == 1 && moves.register_key() && std::abs(main - other) >= 12)
        spot.cause = Cause::speech; // easy for the thumb; the upper note lags (common practice, no source)
    if (tremolo && rate > measured_margin * fastest) {
        spot.grade = std::min(Grade::risky, harder(spot.grade, 1));
        spot.pace = Pace{rate, {fastest, Pace::unlimited, Pace::unlimited}};
    }
    return spot.grade == Grade::easy ? std::nullopt : std::optional(spot);
}

/// Whether all that happens is that fingers are drawn off open holes.
bool drawn_off_holes(const Performed& p, int from, int to)
{
    const Chart& chart = p.book.chart();
    if (chart.ways({from}).empty() || chart.ways({to}).empty())
        return false;
    const Transition moves(chart.ways({from}).front().hands, chart.ways({to}).front().hands);
    return std::ranges::all_of(moves.moves(), [](const FingerMove& move) {
        return move.motion == Motion::lifts && !is_little(move.finger);
    });
}

Grade grade_of_slide(const Performed& p, int from, int to)
{
    const int low = std::min(from, to);
    if (over(from, to, throat_high))
        return Grade::unplayable; // every hole would have to shut together
    if (low <= throat_high) {     // chalumeau and throat
        return to > from && to - from <= smallest_smear && drawn_off_holes(p, from, to) ? Grade::easy
                                                                                        : Grade::risky;
    }
    if (low < lowest_smear)
        return Grade::risky;
    if (to > from)
        return Grade::easy;
    return from >= falls_from ? Grade::awkward : Grade::risky;
}

std::optional<Spot> run_or_slide(const Performed& p, const Group& group)
{
    // Its last small note leads into the note it aims at.
    const std::size_t last =
        group.to + 1 < p.size() && !p.note(group.to + 1).silent ? group.to + 1 : group.to;
    const int from = p.written(group.from), to = p.written(last);
    if (from == to)
        return {};
    Spot spot{Cause::slide};
    spot.from = group.from;
    spot.to = last;
    if (group.figure.kind == OrnamentKind::slide) {
        spot.grade = grade_of_slide(p, from, to);
    } else {
        if (!over(from, to, throat_high) && !over(from, to, clarion_high))
            return {};
        const std::size_t run = group.to > group.from ? group.from + 1 : group.from;
        const double span = p.note(last).start_s - p.note(run).start_s;
        const double rate = span > 0.0 ? double(last - run) / span : 0.0;
        const double share = p.settings.player == Player::learner ? learner_share : 1.0;
        spot.pace = Pace{
            rate, {share * chromatic_over_break[0], share * chromatic_over_break[1] * 1.05, Pace::unlimited}};
        spot.grade = spot.pace->grade();
        // It begins earlier rather than run faster: slower helps when the last half of its note is not
        // enough.
        const double half_s = 0.5 * (p.note(last).start_s - p.note(group.from).start_s);
        if (rate > spot.pace->limits[0])
            spot.safe_at = std::min(1.0, spot.pace->limits[0] * half_s / double(last - run));
    }
    return spot.grade == Grade::easy ? std::nullopt : std::optional(spot);
}

} // namespace

void ornament_rules(const Performed& p, std::vector<Spot>& spots)
{
    for (const Group& group : groups_of(p)) {
        std::optional<Spot> spot;
        switch (group.figure.kind) {
        case OrnamentKind::tremolo: // the tongue's, not the fingers'
            break;
        case OrnamentKind::glissando:
        case OrnamentKind::slide:
            spot = run_or_slide(p, group);
            break;
        default:
            spot = to_and_fro(p, group);
        }
        if (spot)
            spots.push_back(*spot);
    }
    for (std::size_t i = 0; i < p.size(); ++i) {
        if (!(p.printed(i).articulations & art_flutter) || p.written(i) <= free_flutter_to ||
            p.note(i).silent)
            continue;
        const bool soft = p.note(i).dynamic < softest_flutter;
        const bool high = p.written(i) > clarion_high;
        Spot spot{Cause::flutter};
        spot.grade = soft || high ? Grade::risky : Grade::awkward;
        spot.from = spot.to = i;
        spots.push_back(spot);
    }
}

} // namespace canebrake
