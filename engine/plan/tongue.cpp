// SPDX-License-Identifier: MIT
#include "engine/plan/tongue.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace canebrake
{
namespace
{

// Common practice, no source, except as noted.
constexpr double burst_s = 1.0, sustained_s = 4.0;
constexpr TongueLimits in_a_burst{8.4, 9.6, 11.2}, sustained{7.5, 8.8, 10.4};
constexpr double high_tongue = 0.9; // from C6 up
constexpr int high_from = 84;       // written C6
constexpr double learner_tongue = 0.75;
// Double tonguing failed for three of four professionals in the altissimo: Music & Science, 2021,
// doi 10.1177/20592043211034117 (abstract). The figures themselves: common practice, no source.
constexpr double double_below = 1.5, double_above = 1.05;
constexpr double rests_s = 0.3; // a tongue that strikes no oftener than this is at rest
constexpr double two_strokes = 1.3, three_strokes = 1.15;

TongueLimits times(const TongueLimits& limits, double factor)
{
    return {factor * limits.easy, factor * limits.awkward, factor * limits.risky};
}

struct Stroke {
    std::size_t note;
    double time_s;
    std::size_t high_before, double_before; // how many such strokes there were before this one
};

std::vector<Stroke> strokes_of(std::span<const TimedNote> notes, bool double_tongue)
{
    std::vector<Stroke> strokes;
    strokes.reserve(notes.size());
    std::size_t high = 0, doubled = 0;
    for (std::size_t i = 0; i < notes.size(); ++i) {
        const bool slurred_to = i > 0 && !notes[i - 1].silent && notes[i - 1].slurred_to_next;
        if (notes[i].silent || slurred_to)
            continue;
        strokes.push_back({i, notes[i].start_s, high, doubled});
        high += notes[i].written.number >= high_from;
        doubled += double_tongue || notes[i].double_tongue;
    }
    return strokes;
}

/// Judges stretches of one run and keeps the worst.
class Judge
{
public:
    Judge(std::span<const Stroke> strokes, Player player, double factor)
        : strokes_(strokes), player_(player), factor_(factor)
    {
    }

    /// Strokes first … last of the run: what is timed is the way from each to the next.
    void consider(std::size_t first, std::size_t last, double rebound = 1.0)
    {
        const double seconds = strokes_[last].time_s - strokes_[first].time_s;
        if (seconds <= 0.0)
            return;
        const double count = double(last - first), rate = count / seconds;
        const double high = double(strokes_[last].high_before - strokes_[first].high_before) / count;
        const double doubled = double(strokes_[last].double_before - strokes_[first].double_before) / count;
        const auto limits_at = [&](double tempo) {
            return times(tongue_limits(player_, seconds / tempo, high, doubled, factor_), rebound);
        };
        const TongueLimits limits = limits_at(1.0);
        const Grade grade = rate <= limits.easy * within      ? Grade::easy
                            : rate <= limits.awkward * within ? Grade::awkward
                            : rate <= limits.risky * within   ? Grade::risky
                                                              : Grade::unplayable;
        const double strain = rate / limits.easy;
        if (run.strokes_per_s == 0.0 || grade > run.grade || (grade == run.grade && strain > strain_)) {
            strain_ = strain;
            run.hardest_from = strokes_[first].note;
            run.hardest_to = strokes_[last].note;
            run.strokes_per_s = rate;
            run.limits = limits;
            run.grade = grade;
        }
        const auto easy = [&](double tempo) { return rate * tempo <= limits_at(tempo).easy * within; };
        if (grade == Grade::easy || easy(run.easy_at))
            return;
        // Slower is longer, and longer tires: so no closed form, but the slower the easier.
        double slow = 0.0, fast = run.easy_at;
        for (int i = 0; i < 40; ++i)
            (easy(0.5 * (slow + fast)) ? slow : fast) = 0.5 * (slow + fast);
        run.easy_at = slow;
    }

    TongueRun run;

private:
    static constexpr double within = 1.0 + 1e-6;
    std::span<const Stroke> strokes_;
    Player player_;
    double factor_, strain_ = 0.0;
};

TongueRun judged(std::span<const Stroke> strokes, const Kit& kit, double factor)
{
    Judge judge(strokes, kit.level, factor);
    const std::size_t last = strokes.size() - 1;
    for (std::size_t i = 0; i < last; ++i) {
        judge.consider(i, i + 1, two_strokes);
        if (i + 2 <= last)
            judge.consider(i, i + 2, three_strokes);
        if (i + 3 <= last)
            judge.consider(i, i + 3);
    }
    // The strokes that fit into each length; into the longest, the first that fills it.
    constexpr double rounding = 1e-9;
    for (const double length : {burst_s, 1.5, 2.0, 3.0, sustained_s}) {
        std::size_t j = 0;
        for (std::size_t i = 0; i < last; ++i) {
            const auto lasts = [&](std::size_t to) { return strokes[to].time_s - strokes[i].time_s; };
            while (j < last && lasts(j + 1) <= length + rounding)
                ++j;
            const std::size_t end = length == sustained_s && lasts(j) < length ? std::min(j + 1, last) : j;
            if (end >= i + 3)
                judge.consider(i, end);
        }
    }
    if (last >= 3)
        judge.consider(0, last);
    judge.run.from = strokes.front().note;
    judge.run.to = strokes.back().note;
    return judge.run;
}

} // namespace

TongueLimits tongue_limits(Player player, double seconds, double high, double double_tongued,
                           double tongue_factor)
{
    if (player == Player::ideal) {
        constexpr double infinite = std::numeric_limits<double>::infinity();
        return {infinite, infinite, infinite};
    }
    const double tired = std::clamp((seconds - burst_s) / (sustained_s - burst_s), 0.0, 1.0);
    const double by_register = 1.0 + high * (high_tongue - 1.0);
    const double by_twos = 1.0 + double_tongued * (double_below + high * (double_above - double_below) - 1.0);
    const double factor =
        tongue_factor * by_register * by_twos * (player == Player::learner ? learner_tongue : 1.0);
    return times({in_a_burst.easy + tired * (sustained.easy - in_a_burst.easy),
                  in_a_burst.awkward + tired * (sustained.awkward - in_a_burst.awkward),
                  in_a_burst.risky + tired * (sustained.risky - in_a_burst.risky)},
                 factor);
}

double fastest_strokes(Player player, double seconds_of_burst, bool high, bool double_tongued,
                       double instrument_factor)
{
    return tongue_limits(player, seconds_of_burst, high, double_tongued, instrument_factor).risky;
}

std::vector<TongueRun> tongue_runs(std::span<const TimedNote> notes, const Kit& kit, double tongue_factor)
{
    const std::vector<Stroke> strokes = strokes_of(notes, kit.double_tongue);
    std::vector<TongueRun> runs;
    for (std::size_t from = 0, i = 0; i < strokes.size(); ++i) {
        const bool ends =
            i + 1 == strokes.size() || strokes[i + 1].time_s - strokes[i].time_s > rests_s + 1e-9;
        if (!ends)
            continue;
        if (i > from)
            runs.push_back(judged(std::span(strokes).subspan(from, i + 1 - from), kit, tongue_factor));
        from = i + 1;
    }
    return runs;
}

} // namespace canebrake
