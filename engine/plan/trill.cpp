// SPDX-License-Identifier: MIT
#include "engine/plan/trill.h"

#include "models/air/air.h"
#include "models/instruments/mechanism.h"
#include "models/maker/maker.h"
#include "models/modes/mode_table.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

namespace canebrake
{

namespace
{

constexpr double widest_error_cents = 60.0;
constexpr double enough_worse = 2.5; // a way so much dearer than the best is not worth asking the model
constexpr std::size_t most_ways = 8;
constexpr double puzzle = 1.5;            // plain fingers' worth
constexpr int expert_from = 91;           // written G6: players differ, only experts trill there
constexpr double strange_altissimo = 0.7; // up there a fingering nobody has charted is a gamble

/// What it costs to trill from this hold at all: the usual one nothing, a dull or strange one something.
double hold_cost(const Candidate& c)
{
    const double use = c.fingering.use == FingeringUse::primary     ? 0.0
                       : c.fingering.use == FingeringUse::alternate ? 0.5
                       : c.fingering.use == FingeringUse::resonance ? 0.8
                                                                    : 2.0;
    return use + 0.3 * c.habit;
}

/// A trill 20 cents off is heard as colour, 40 as wrong: a finger more is worth about 15 cents.
double tuning_cost(double error_cents)
{
    const double size = std::abs(error_cents);
    return 0.02 * size + std::pow(std::max(0.0, size - 12.0) / 12.0, 2);
}

/// A finger that hops from one hole or key to another, not merely adding one to what it holds.
bool hops(const FingerMove& m)
{
    const bool adds = (m.from & m.to) == m.from || (m.from & m.to) == m.to;
    return (m.motion == Motion::rolls || m.motion == Motion::slides) && !adds;
}

std::size_t hops(const Transition& t)
{
    return std::size_t(
        std::count_if(t.moves().begin(), t.moves().end(), [](const FingerMove& m) { return hops(m); }));
}

/// Back and forth many times a second, what is easy once is not: hopping, and hands that go against each
/// other.
double trill_cost(const Transition& t, bool into_another_register)
{
    return t.effort() + 1.5 * double(hops(t)) + (t.hands_contrary() ? 1.5 : 0.0) +
           (into_another_register ? 3.0 : 0.0);
}

bool little_moves(const Transition& t)
{
    return std::any_of(t.moves().begin(), t.moves().end(),
                       [](const FingerMove& m) { return is_little(m.finger); });
}

/// Notes a second: 10–14 with one finger, 8–10 with two or a little finger, fewer against each other (rates
/// from memory and common practice).
double fastest(const Transition& t)
{
    double seconds = 0.077 + 0.018 * std::max(0.0, t.effort() - 1.0);
    seconds += little_moves(t) ? 0.016 : 0.0;
    seconds += t.same_hand_contrary() ? 0.05 : 0.0;
    seconds += t.hands_contrary() ? 0.03 : 0.0;
    seconds += 0.04 * double(hops(t));
    seconds += t.little_finger_slide() ? 0.12 : 0.0;
    return std::clamp(1.0 / seconds, 3.0, 13.0);
}

bool both_hands(const Transition& t)
{
    const auto left = [](const FingerMove& m) { return is_left(m.finger); };
    const auto moves = t.moves();
    return std::any_of(moves.begin(), moves.end(), left) && !std::all_of(moves.begin(), moves.end(), left);
}

/// `charted`: the upper note is one that charts have, not only this search.
Grade grade_of(const Transition& t, double error_cents, bool into_another_register, bool charted,
               WrittenPitch upper)
{
    if (upper.number >= expert_from)
        return Grade::risky;
    // Fingers of one hand that all go the same way are one movement: a tremolo of a fourth or fifth.
    const bool as_one =
        !both_hands(t) && !t.same_hand_contrary() && hops(t) == 0 && !little_moves(t) && !t.register_key();
    Grade grade = t.effort() <= (as_one ? 3.3 : 2.6) ? Grade::easy
                  : t.effort() <= 5.0                ? Grade::awkward
                                                     : Grade::risky;
    const bool strange = !charted && t.moves().size() > 1; // two fingers on what no chart has
    if (t.same_hand_contrary() || hops(t) > 0 || both_hands(t) || strange || std::abs(error_cents) > 20.0)
        grade = worst(grade, Grade::awkward);
    if (both_hands(t) && (strange || little_moves(t)) && std::abs(error_cents) > 15.0)
        grade = Grade::risky;
    const bool against = t.same_hand_contrary() || t.hands_contrary();
    if ((against && (t.effort() > 4.0 || little_moves(t))) || t.little_finger_slide() ||
        std::abs(error_cents) > 35.0)
        grade = Grade::risky;
    if (into_another_register)
        grade = worst(grade, t.moves().size() == 1 ? Grade::awkward : Grade::risky);
    return grade;
}

bool opens(const Geometry& geometry, const Fingering& f, std::string_view hole)
{
    for (std::size_t h = 0; h < geometry.holes.size(); ++h)
        if (geometry.holes[h].name == hole)
            return (f.holes.open >> h) & 1u;
    return false;
}

/// The highest open hole that shapes the note: above the break's vents, the first finger's hole is one.
double first_open(const Geometry& geometry, const Fingering& f)
{
    for (std::size_t h = 0; h < geometry.holes.size(); ++h)
        if ((f.holes.open >> h) & 1u && !(f.register_number >= 3 && geometry.holes[h].name == "left1"))
            return geometry.holes[h].x_m;
    return geometry.length_m();
}

/// A trill key opens near the end of the sounding bore. One that opens far above leaks there, and which note
/// comes, if any, is the player's luck.
bool opens_far_above(const Geometry& geometry, const Fingering& lower, const Fingering& upper)
{
    constexpr double nearest_share = 0.75; // of the length; two semitones are 0.89
    // The first finger's hole above closed ones is the vent of the third register.
    if (lower.register_number == 2 && opens(geometry, upper, "left1") && !opens(geometry, upper, "left2"))
        return true;
    const double limit = nearest_share * first_open(geometry, lower);
    for (std::size_t h = 0; h < geometry.holes.size(); ++h)
        if ((upper.holes.open & ~lower.holes.open) >> h & 1u && geometry.holes[h].x_m < limit)
            return true;
    return false;
}

/// A trill opens. A way no chart has, that shuts holes as it opens others, is a puzzle for the hands.
bool shuts_while_opening(const Fingering& lower, const Fingering& upper)
{
    return (lower.holes.open & ~upper.holes.open) != 0;
}

/// Lower holds with one silent little-finger key more: E with F ready under the other hand.
std::vector<Candidate> with_keys_held(const Candidate& low, const Chart& chart)
{
    std::vector<Candidate> result{low};
    for (const Finger little : {Finger::left_little, Finger::right_little}) {
        if (low.hands[little] != 0)
            continue;
        for (const KeySet set : positions(little, chart.mechanism())) {
            Candidate held = low;
            held.hands[little] = set;
            held.fingering.keys = held.hands.keys();
            held.habit += 0.2;
            chart.instrument().work_out_holes(held.fingering, chart.mechanism());
            if (set != 0 && held.fingering.holes == low.fingering.holes)
                result.push_back(held);
        }
    }
    return result;
}

/// Whether all that moves in `small` moves in `large` too, and the pitch gains nothing by the rest.
bool says_no_more(const TrillWay& small, const TrillWay& large)
{
    if (small.lower.hands != large.lower.hands)
        return false;
    for (std::size_t f = 0; f < finger_count; ++f)
        if (small.upper.hands.holds[f] != small.lower.hands.holds[f] &&
            small.upper.hands.holds[f] != large.upper.hands.holds[f])
            return false;
    return std::abs(large.error_cents) > std::abs(small.error_cents) - 8.0;
}

/// Two holds to trill between, before the model has been asked for their pitch.
struct Trial {
    Candidate lower, upper;
    bool charted;
    double cost;
};

/// Pairs of holds, each once.
class Trials
{
public:
    void add(const Candidate& low, const Candidate& high, bool charted)
    {
        if (low.hands == high.hands || !seen_.insert({low.hands.keys(), high.hands.keys()}).second)
            return;
        if (low.fingering.holes == high.fingering.holes && low.fingering.vent == high.fingering.vent)
            return; // they sound alike
        const int from = low.fingering.register_number;
        double cost = trill_cost(Transition(low.hands, high.hands), from != high.fingering.register_number) +
                      hold_cost(low);
        if (!charted)
            cost = cost + (from >= 3 ? strange_altissimo : 0.0) +
                   (shuts_while_opening(low.fingering, high.fingering) ? puzzle : 0.0);
        all_.push_back({low, high, charted, cost});
    }
    std::vector<Trial> cheapest_first() &&
    {
        std::stable_sort(all_.begin(), all_.end(),
                         [](const Trial& x, const Trial& y) { return x.cost < y.cost; });
        return std::move(all_);
    }

private:
    std::vector<Trial> all_;
    std::set<std::pair<std::string, std::string>> seen_;
};

/// The upper note as one or two fingers make it that leave a hold of the lower one.
Candidate trilled(const Candidate& low, WrittenPitch upper, const Hands& hands, const Chart& chart)
{
    Candidate c;
    c.hands = hands;
    c.fingering.written = upper;
    c.fingering.keys = hands.keys();
    c.fingering.name = "trill";
    c.fingering.use = FingeringUse::trill;
    chart.instrument().work_out_holes(c.fingering, chart.mechanism());
    c.fingering.register_number = low.fingering.register_number;
    c.blown_as = low.blown_as; // the breath stays with the note below
    return c;
}

/// Every hold that one finger, or two, make of a lower one.
void add_moved_fingers(Trials& trials, const Candidate& low, WrittenPitch upper, const Chart& chart)
{
    struct Moved {
        Finger finger;
        Hands hands;
    };
    std::vector<Moved> one;
    for (std::size_t f = 0; f < finger_count; ++f)
        for (const KeySet set : positions(Finger(f), chart.mechanism()))
            if (set != low.hands.holds[f]) {
                one.push_back({Finger(f), low.hands});
                one.back().hands.holds[f] = set;
            }
    for (std::size_t a = 0; a < one.size(); ++a) {
        trials.add(low, trilled(low, upper, one[a].hands, chart), false);
        for (std::size_t b = a + 1; b < one.size(); ++b) {
            const Finger second = one[b].finger;
            // In the altissimo two strange fingers in different hands: nobody could say what comes.
            const bool one_hand = is_left(one[a].finger) == is_left(second);
            if (one[a].finger == second || (!one_hand && low.fingering.register_number >= 3))
                continue;
            Hands both = one[a].hands;
            both[second] = one[b].hands[second];
            trials.add(low, trilled(low, upper, both, chart), false);
        }
    }
}

/// Best first, without those that only move more fingers than a better one.
std::vector<TrillWay> best_of(std::vector<TrillWay> found, const std::vector<double>& costs)
{
    std::vector<std::size_t> order(found.size());
    for (std::size_t i = 0; i < order.size(); ++i)
        order[i] = i;
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t x, std::size_t y) { return costs[x] < costs[y]; });
    std::vector<TrillWay> result;
    for (const std::size_t i : order) {
        const bool old = std::any_of(result.begin(), result.end(),
                                     [&](const TrillWay& way) { return says_no_more(way, found[i]); });
        if (!old && result.size() < most_ways)
            result.push_back(std::move(found[i]));
    }
    return result;
}

} // namespace

TrillBook::TrillBook(const Instrument& instrument, const Kit& kit)
    : chart_(instrument, kit), bore_(instrument.geometry, breath_air({25.0}), instrument.vent_index)
{
}

double TrillBook::target_hz(WrittenPitch written) const
{
    return frequency({double(written.number + chart_.instrument().transposition)}, {440.0}).value;
}

/// Cents from the target; NaN where nothing resonates nearby.
double TrillBook::played(HoleState with_vent, double near_hz)
{
    const auto key = std::pair{with_vent, int(std::lround(near_hz * 16.0))};
    if (const auto found = played_.find(key); found != played_.end())
        return found->second;
    const double hz = played_frequency(bore_, with_vent, near_hz, widest_error_cents + 50.0);
    const double cents = hz > 0.0 ? cents_between({hz}, {near_hz}).value : std::nan("");
    return played_[key] = cents;
}

/// Which mode of the bore lies nearest to a frequency, 1 the lowest.
int TrillBook::mode_of(HoleState without_vent, double hz)
{
    auto& modes = modes_[without_vent];
    if (modes.empty() || modes.back() < 1.1 * hz) {
        const ModeTable table = find_modes(bore_, without_vent, {std::max(1.3 * hz, 1200.0), 12.0});
        modes.clear();
        for (std::size_t n = 0; n < table.count; ++n)
            modes.push_back(table.mode_frequency(n));
        modes.push_back(1e9);
    }
    const auto nearer = [hz](double a, double b) {
        return std::abs(std::log(a / hz)) < std::abs(std::log(b / hz));
    };
    return int(std::min_element(modes.begin(), modes.end(), nearer) - modes.begin()) + 1;
}

void TrillBook::try_way(const Candidate& lower, const Candidate& upper, bool charted,
                        std::vector<TrillWay>& found)
{
    if (!charted && opens_far_above(chart_.instrument().geometry, lower.fingering, upper.fingering))
        return;
    const Transition moves(lower.hands, upper.hands);
    const auto sounded = [&](const Candidate& c) {
        HoleState holes = c.fingering.holes;
        holes.open |= c.fingering.vent > 0.0 ? 1u << chart_.instrument().vents[c.fingering.vent_number] : 0u;
        return holes;
    };
    const double lower_hz = target_hz(lower.fingering.written), upper_hz = target_hz(upper.fingering.written);
    const double below = played(sounded(lower), lower_hz), above = played(sounded(upper), upper_hz);
    if (std::isnan(below) || std::isnan(above) || moves.moves().empty())
        return;
    const double error = above - below;
    if (std::abs(error) > widest_error_cents)
        return;
    const int from = mode_of(lower.fingering.holes, lower_hz), to = mode_of(upper.fingering.holes, upper_hz);
    if (!charted && (from != to || (from > 1 && upper.fingering.vent == 0.0)))
        return; // it would jump to another register
    TrillWay way{lower, upper, below, error, moves.effort(), fastest(moves), Grade::easy};
    way.upper.fingering.register_number =
        charted ? upper.fingering.register_number : lower.fingering.register_number;
    way.grade = grade_of(moves, error, lower.fingering.register_number != way.upper.fingering.register_number,
                         charted, upper.fingering.written);
    if (upper.fingering.written.number >= expert_from)
        way.notes_per_s = std::min(way.notes_per_s, 8.0);
    found.push_back(std::move(way));
}

std::vector<TrillWay> TrillBook::search(WrittenPitch lower, int semitones)
{
    const WrittenPitch upper{lower.number + semitones};
    Trials trials;
    for (const Candidate& way : chart_.ways(lower))
        for (const Candidate& low : with_keys_held(way, chart_)) {
            for (const Candidate& high : chart_.ways(upper))
                trials.add(low, high, true);
            if (semitones <= 4) // wide tremolos go between two fingerings of the chart
                add_moved_fingers(trials, low, upper, chart_);
        }
    std::vector<TrillWay> found;
    std::vector<double> costs;
    double best = std::numeric_limits<double>::max();
    for (const Trial& trial : std::move(trials).cheapest_first()) {
        if (trial.cost > best + enough_worse)
            break;
        const std::size_t before = found.size();
        try_way(trial.lower, trial.upper, trial.charted, found);
        if (found.size() == before)
            continue;
        const TrillWay& way = found.back();
        costs.push_back(trial.cost + tuning_cost(way.error_cents) +
                        0.05 * std::max(0.0, std::abs(way.lower_cents) - 15.0));
        best = std::min(best, costs.back());
    }
    return best_of(std::move(found), costs);
}

const std::vector<TrillWay>& TrillBook::ways(WrittenPitch lower, int semitones)
{
    const auto key = std::pair{lower.number, semitones};
    auto found = ways_.find(key);
    if (found == ways_.end())
        found = ways_.emplace(key, search(lower, semitones)).first;
    return found->second;
}

} // namespace canebrake
