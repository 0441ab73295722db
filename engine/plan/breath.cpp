// SPDX-License-Identifier: MIT
#include "engine/plan/breath.h"

#include "engine/plan/air.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <deque>

namespace canebrake
{
namespace
{

constexpr double infinite = std::numeric_limits<double>::infinity();

// Seconds, common practice, no source.
constexpr double shortest_s = 0.3; // a catch breath
constexpr double catch_s = 0.5;    // the longest that still is one
constexpr double full_s = 1.0;     // after the lungs were emptied
constexpr double ample_s = 0.8;    // a rest in which everybody breathes
constexpr double stealable = 0.6;  // share of a note that a breath after it may take
constexpr int leap_semitones = 5;

constexpr std::size_t most_notes = 1000; // that are weighed for one breath: a damaged file may hold more

/// One place between two sounding notes.
struct Joint {
    double gap_s, note_s; // silence, and the note before it
    bool slurred, mark, fermata, ends_slur, repeated, bar_line, leap;

    bool must() const { return mark || gap_s >= ample_s; }
    bool rest() const { return gap_s >= shortest_s; }
    /// Time for a breath without harm.
    bool good() const { return mark || rest() || (!slurred && gap_s + stealable * note_s >= shortest_s); }
};

/// A breath as it would be taken at a joint by a player who has used this share of the easy limit.
struct Taken {
    double length_s, stolen_s, late_s, cost;
};

Taken take(const Joint& joint, double used)
{
    const double wanted = shortest_s + (full_s - shortest_s) * std::min(1.0, used);
    const double shallow = 0.3; // a second too short, in the units of cost
    if (joint.rest()) {
        const double length = std::min(wanted, joint.gap_s);
        const double hurried = joint.mark ? 0.0 : 0.8 * std::max(0.0, ample_s - joint.gap_s);
        return {length, 0.0, 0.0, hurried + shallow * (wanted - length)};
    }
    const bool free = joint.mark || joint.fermata; // the listener expects it
    const double aimed = free ? wanted : std::min(wanted, catch_s);
    const double there = joint.gap_s + stealable * joint.note_s;
    const double length = std::max(shortest_s, std::min(aimed, there));
    const double stolen = std::min(length - joint.gap_s, stealable * joint.note_s);
    const double late = std::max(0.0, length - joint.gap_s - stolen);
    double cost = shallow * (wanted - length);
    if (!free) {
        const double lost = joint.note_s > 0.0 ? stolen / joint.note_s : 0.0;
        cost += lost + 30.0 * late;
        cost += joint.slurred ? 60.0 + 20.0 * lost : late > 1e-9 ? 20.0 : 1.0;
        cost += (joint.ends_slur ? -0.4 : 0.0) + (joint.repeated ? 0.6 : 0.0);
        cost -= (joint.slurred ? 8.0 : 0.15) * (joint.bar_line + joint.leap);
    }
    return {length, stolen, late, cost};
}

/// What a stretch on one breath costs; grows with every part of `air`.
double stretch_cost(const Air& air)
{
    switch (grade_of(air)) {
    case Grade::easy: {
        const double strain = std::max(0.0, air[0] - 0.6) / 0.4;
        return strain * strain;
    }
    case Grade::awkward:
        return 2.0 + 4.0 * air[1];
    case Grade::risky:
        return 8.0 + 22.0 * air[2];
    case Grade::unplayable:
        break;
    }
    return 1000.0 + 100.0 * air[2];
}

/// The line without its silent notes: joints, and sums of air from which any stretch is a difference.
class Breathing
{
public:
    Breathing(std::span<const TimedNote> notes, const Kit& kit, double breath_factor) : notes_(notes)
    {
        limitless_ = kit.circular_breathing || kit.level == Player::ideal;
        const double lung = limitless_ ? infinite : lung_of(kit.level, breath_factor);
        for (std::size_t i = 0; i < notes.size(); ++i)
            if (!notes[i].silent)
                index_.push_back(i);
        before_.reserve(index_.size());
        own_.reserve(index_.size());
        joints_.reserve(index_.size());
        Air sum{};
        for (std::size_t k = 0; k < index_.size(); ++k) {
            const TimedNote& note = notes[index_[k]];
            const double middle = note.dynamic_middle.value_or(note.dynamic),
                         end = note.dynamic_end.value_or(middle), length = note.end_s - note.start_s;
            Air own{};
            add_air(own, note.dynamic, middle, 0.5 * length, lung);
            add_air(own, middle, end, 0.5 * length, lung);
            before_.push_back(sum);
            own_.push_back(own);
            if (k + 1 == index_.size())
                break;
            joints_.push_back(joint_after(k));
            // Waiting with full lungs tires as blowing does.
            add_air(own, end, end, std::min(ample_s, joints_.back().gap_s), lung);
            for (std::size_t grade = 0; grade < sum.size(); ++grade)
                sum[grade] += own[grade];
        }
    }

    std::size_t count() const { return index_.size(); }
    bool limitless() const { return limitless_; }
    const Joint& joint(std::size_t k) const { return joints_[k]; } ///< after sounding note k
    std::size_t note(std::size_t k) const { return index_[k]; }
    const TimedNote& timed(std::size_t k) const { return notes_[index_[k]]; }

    /// Sounding notes from … to, both included, on one breath.
    Air air(std::size_t from, std::size_t to) const
    {
        Air sum = own_[to];
        for (std::size_t grade = 0; grade < sum.size(); ++grade)
            sum[grade] += before_[to][grade] - before_[from][grade];
        return sum;
    }

    /// Of playing `from … to` on one breath and taking the next after it (none at the line's end); infinite
    /// where the air does not last and a breath in between could be had.
    double cost(std::size_t from, std::size_t to) const
    {
        const Air air = this->air(from, to);
        if (from < to && grade_of(air) == Grade::unplayable)
            return infinite;
        return stretch_cost(air) + (to + 1 < count() ? take(joints_[to], air[0]).cost : 0.0);
    }

private:
    Joint joint_after(std::size_t k) const
    {
        const TimedNote &note = timed(k), &next = timed(k + 1);
        const bool neighbours = index_[k] + 1 == index_[k + 1];
        const int step = std::abs(next.written.number - note.written.number);
        Joint joint{};
        joint.gap_s = std::max(0.0, next.start_s - note.end_s);
        joint.note_s = std::max(0.0, note.end_s - note.start_s);
        joint.slurred = neighbours && note.slurred_to_next;
        joint.mark = note.breath_mark;
        joint.fermata = note.fermata;
        joint.ends_slur = !joint.slurred && k > 0 && timed(k - 1).slurred_to_next;
        joint.repeated = step == 0;
        joint.bar_line = next.starts_bar;
        joint.leap = step >= leap_semitones;
        return joint;
    }

    std::span<const TimedNote> notes_;
    std::vector<std::size_t> index_; // of the sounding notes
    std::vector<Air> before_, own_;  // summed to each one's start; of itself
    std::vector<Joint> joints_;
    bool limitless_ = false;
};

/// Last notes of all stretches, in order; the last is the line's.
std::vector<std::size_t> best_stretches(const Breathing& line)
{
    const std::size_t count = line.count();
    std::vector<std::size_t> ends;
    if (line.limitless()) {
        for (std::size_t k = 0; k + 1 < count; ++k)
            if (line.joint(k).mark || line.joint(k).rest())
                ends.push_back(k);
        ends.push_back(count - 1);
        return ends;
    }
    // least[b]: of the notes before b, the last breath just before b. A beginning is worth keeping only if no
    // later one is as cheap: stretches from the later one are shorter, and a shorter one never costs more.
    std::vector<double> least(count + 1, infinite);
    std::vector<std::size_t> began(count + 1, 0);
    std::deque<std::size_t> beginnings{0};
    least[0] = 0.0;
    for (std::size_t end = 0; end < count; ++end) {
        const std::size_t b = end + 1;
        for (auto from = beginnings.rbegin(); from != beginnings.rend(); ++from) {
            const double stretch = line.cost(*from, end);
            if (stretch == infinite) { // so is every longer one
                beginnings.erase(beginnings.begin(), from.base());
                break;
            }
            if (least[*from] + stretch < least[b]) {
                least[b] = least[*from] + stretch;
                began[b] = *from;
            }
        }
        if (b < count && line.joint(end).must())
            beginnings.clear();
        while (!beginnings.empty() && least[beginnings.back()] >= least[b])
            beginnings.pop_back();
        beginnings.push_back(b);
        if (beginnings.size() > most_notes)
            beginnings.pop_front();
    }
    for (std::size_t b = count; b > 0; b = began[b])
        ends.push_back(b - 1);
    std::reverse(ends.begin(), ends.end());
    return ends;
}

Breath breath_at(const Breathing& line, std::size_t k, double used)
{
    const Joint& joint = line.joint(k);
    const Taken taken = take(joint, used);
    Breath breath;
    breath.after = line.note(k);
    breath.place = joint.mark      ? BreathPlace::mark
                   : joint.rest()  ? BreathPlace::rest
                   : joint.slurred ? BreathPlace::slur
                                   : BreathPlace::joint;
    breath.length_s = taken.length_s;
    breath.stolen_s = taken.stolen_s;
    breath.late_s = taken.late_s;
    breath.start_s = line.timed(k + 1).start_s + taken.late_s - taken.length_s; // just before the next note
    return breath;
}

/// The sounding notes `from … to` as one span; `broken`: after which of them the plan breathes all the same.
AirSpan span_of(const Breathing& line, std::size_t from, std::size_t to, std::span<const std::size_t> broken)
{
    const Air air = line.air(from, to);
    AirSpan span;
    span.from = line.note(from);
    span.to = line.note(to);
    span.seconds = line.timed(to).end_s - line.timed(from).start_s;
    const auto limit = [&](double share) { return share > 0.0 ? span.seconds / share : infinite; };
    span.limits = {limit(air[0]), limit(air[1]), limit(air[2])};
    span.grade = grade_of(air);

    if (span.grade == Grade::unplayable && !broken.empty()) {
        bool saved = true; // by leaving out a note
        std::size_t begin = from;
        for (const std::size_t k : broken) {
            saved = saved && !line.joint(k).slurred && grade_of(line.air(begin, k)) != Grade::unplayable;
            begin = k + 1;
        }
        if (saved && grade_of(line.air(begin, to)) != Grade::unplayable)
            span.grade = Grade::risky;
        span.break_after = line.note(broken.front());
    } else if (span.grade != Grade::easy) {
        double least = infinite;
        for (std::size_t k = from; k < to; ++k)
            if (const double harm = line.cost(from, k) + stretch_cost(line.air(k + 1, to)); harm < least) {
                least = harm;
                span.break_after = line.note(k);
            }
    }
    return span;
}

} // namespace

BreathPlan plan_breaths(std::span<const TimedNote> notes, const Kit& kit, double breath_factor)
{
    BreathPlan plan;
    const Breathing line(notes, kit, breath_factor);
    if (line.count() == 0)
        return plan;
    std::vector<std::size_t> broken; // breaths that do not end the span
    std::size_t span_from = 0, from = 0;
    for (const std::size_t end : best_stretches(line)) {
        const bool last = end + 1 == line.count();
        if (!last)
            plan.breaths.push_back(breath_at(line, end, line.air(from, end)[0]));
        from = end + 1;
        if (last || line.joint(end).good()) {
            plan.spans.push_back(span_of(line, span_from, end, broken));
            span_from = from;
            broken.clear();
        } else
            broken.push_back(end);
    }
    return plan;
}

double cost_of_breaths(std::span<const TimedNote> notes, const Kit& kit, std::span<const std::size_t> after,
                       double breath_factor)
{
    const Breathing line(notes, kit, breath_factor);
    double cost = 0.0;
    std::size_t from = 0, given = 0;
    for (std::size_t k = 0; k < line.count(); ++k) {
        const bool last = k + 1 == line.count();
        const bool breathes = given < after.size() && after[given] == line.note(k);
        given += breathes;
        if (!last && !breathes && line.joint(k).must())
            return infinite;
        if (!last && !breathes)
            continue;
        cost += line.cost(from, k);
        from = k + 1;
    }
    return cost;
}

} // namespace canebrake
