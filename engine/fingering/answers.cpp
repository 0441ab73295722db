// SPDX-License-Identifier: MIT
#include "engine/fingering/answers.h"

#include "engine/telling/finger_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace canebrake
{
namespace
{

constexpr double clearly_less = 0.5; // effort, before another way is worth a word

SlurWay way_between(const Candidate& from, const Candidate& to, Player player)
{
    const Transition moves(from.hands, to.hands);
    return {from, to, moves, slur_speed(from.fingering, to.fingering, moves, player)};
}

bool primary(const Candidate& c)
{
    return c.fingering.use == FingeringUse::primary;
}

/// What a way costs: the moves, and a little for an unusual hold, so that of two equal ones the usual is
/// said.
double cost(const SlurWay& way)
{
    const auto unusual = [](const Candidate& c) { return 0.2 * c.habit + (primary(c) ? 0.0 : 0.2); };
    return way.moves.effort() + unusual(way.from) + unusual(way.to);
}

} // namespace

double tempo_in_sixteenths(double notes_per_s)
{
    return 60.0 * notes_per_s / 4.0;
}

NoteAnswer answer_note(const AskedNote& note, const Chart& chart)
{
    NoteAnswer answer{note, {}};
    const FingeringEar ear(chart.instrument());
    std::size_t row = std::numeric_limits<std::size_t>::max();
    for (const Candidate& way : chart.ways(note.written)) {
        if (way.blown_as != row)
            answer.ways.push_back({way.fingering, {}, ear.hear(way.blown_as), ""});
        row = way.blown_as;
        answer.ways.back().hands.push_back(way.hands);
    }
    for (NoteWay& way : answer.ways)
        way.when = when_used(way.fingering, answer.ways.front().fingering);
    return answer;
}

namespace
{

/// The two notes as they are usually taken, by the way of least work.
SlurWay usual_way(const Chart& chart, WrittenPitch from, WrittenPitch to, Player player)
{
    std::optional<SlurWay> best;
    for (const Candidate& a : chart.ways(from))
        for (const Candidate& b : chart.ways(to)) {
            if (!primary(a) || !primary(b))
                continue;
            if (const SlurWay way = way_between(a, b, player); !best || cost(way) < cost(*best))
                best = way;
        }
    return *best;
}

} // namespace

SlurAnswer answer_slur(const AskedNote& from, const AskedNote& to, TrillBook& book, const Kit& kit)
{
    const Player player = kit.level;
    std::vector<SlurWay> usual, others;
    const auto held = [](const Candidate& c) { return c.fingering.use != FingeringUse::trill; };
    for (const Candidate& a : book.chart().ways(from.written))
        for (const Candidate& b : book.chart().ways(to.written))
            if (held(a) && held(b))
                (primary(a) && primary(b) ? usual : others).push_back(way_between(a, b, player));
    const auto cheaper = [](const SlurWay& a, const SlurWay& b) { return cost(a) < cost(b); };
    std::stable_sort(usual.begin(), usual.end(), cheaper);
    std::stable_sort(others.begin(), others.end(), cheaper);

    SlurAnswer answer{from, to, usual.front(), {}, false, false, {}, {}, {}};
    answer.slips = strays(book, answer.usual.from, answer.usual.to);
    answer.slips.resize(std::min<std::size_t>(answer.slips.size(), 2));
    if (!kit.left_a_flat_lever && answer.usual.moves.little_finger_slide()) {
        Kit other = kit;
        other.left_a_flat_lever = true;
        const SlurWay way =
            usual_way(Chart(book.chart().instrument(), other), from.written, to.written, player);
        if (cost(way) < cost(answer.usual) - clearly_less)
            answer.with_lever = way;
    }
    const int low = std::min(from.written.number, to.written.number);
    const int high = std::max(from.written.number, to.written.number);
    const bool key_alone = answer.usual.moves.moves().size() == 1 && answer.usual.moves.register_key();
    answer.over_the_break = low <= throat_high && high > throat_high && !key_alone;
    answer.other_register =
        answer.usual.from.fingering.register_number != answer.usual.to.fingering.register_number;
    for (const SlurWay& way : others) {
        const bool less = cost(way) < cost(answer.usual) - clearly_less;
        const bool told = std::any_of(answer.better.begin(), answer.better.end(), [&](const SlurWay& known) {
            return known.from.blown_as == way.from.blown_as && known.to.blown_as == way.to.blown_as;
        });
        if (less && !told && answer.better.size() < 3)
            answer.better.push_back(way);
    }
    if (high - low <= widest_trill) {
        const auto& ways = book.ways({low}, high - low);
        const bool told =
            !ways.empty() && std::any_of(answer.better.begin(), answer.better.end(), [&](const SlurWay& way) {
                const bool rising = from.written < to.written;
                return (rising ? way.from : way.to).hands == ways.front().lower.hands &&
                       (rising ? way.to : way.from).hands == ways.front().upper.hands;
            });
        if (!ways.empty() && !told && ways.front().effort < answer.usual.moves.effort() - clearly_less)
            answer.rocking.push_back(ways.front());
    }
    return answer;
}

TrillAnswer answer_trill(const AskedNote& a, const AskedNote& b, TrillBook& book, const Kit& kit)
{
    const bool rising = a.written < b.written;
    TrillAnswer answer{rising ? a : b, rising ? b : a, {}, {}};
    const auto& ways =
        book.ways(answer.lower.written, answer.upper.written.number - answer.lower.written.number);
    answer.ways.assign(ways.begin(), ways.begin() + std::ptrdiff_t(std::min<std::size_t>(ways.size(), 4)));
    if (!kit.articulated_c_sharp && !ways.empty() && ways.front().grade > Grade::easy) {
        Kit other = kit;
        other.articulated_c_sharp = true;
        TrillBook with(book.chart().instrument(), other);
        const auto& better =
            with.ways(answer.lower.written, answer.upper.written.number - answer.lower.written.number);
        if (!better.empty() && better.front().grade < ways.front().grade)
            answer.articulated = better.front();
    }
    for (TrillWay& way : answer.ways) // practice mends what fingers find hard
        way.grade = harder(way.grade, -int(kit.reading));
    return answer;
}

Hands held_through(const TrillWay& way)
{
    Hands held;
    for (std::size_t f = 0; f < finger_count; ++f)
        held.holds[f] = way.lower.hands.holds[f] & way.upper.hands.holds[f];
    return held;
}

std::vector<std::string> reasons(const TrillWay& way)
{
    const Transition moves(way.lower.hands, way.upper.hands);
    std::vector<std::string> result;
    if (moves.same_hand_contrary())
        result.push_back("fingers of one hand go against each other");
    if (moves.hands_contrary())
        result.push_back("one hand goes down as the other comes up");
    if (moves.little_finger_slide())
        result.push_back("a little finger slides from key to key");
    for (const FingerMove& m : moves.moves())
        if (m.motion == Motion::slides && !is_little(m.finger))
            result.push_back(std::string(name(m.finger)) + " leaves its hole for a key");
        else if (m.motion == Motion::rolls && (m.from & ~m.to) != 0 && (m.to & ~m.from) != 0)
            result.push_back(std::string(name(m.finger)) + " hops from one place to another");
    if (way.lower.fingering.register_number != way.upper.fingering.register_number)
        result.push_back("the upper note is in another register and has to speak each time");
    if (const std::size_t n = moves.moves().size(); n >= 3 || (n == 2 && way.grade != Grade::easy))
        result.push_back(fmt::format("{} fingers have to move as one", n));
    constexpr double heard = 12.0; // cents
    if (std::abs(way.error_cents) > heard)
        result.push_back(way.error_cents < 0.0 ? "narrow" : "wide");
    const KeySet side = key("S1") | key("S2") | key("S3") | key("S4");
    if (way.upper.hands.all() & ~way.lower.hands.all() & side && way.upper.fingering.written.number >= 69 &&
        way.upper.fingering.register_number == 1)
        result.push_back("the side key's note is thin beside the clarion's");
    if (!primary(way.lower))
        result.push_back("the lower note is not in its usual fingering");
    return result;
}

} // namespace canebrake
