// SPDX-License-Identifier: MIT
#include "engine/plan/air.h"

#include "engine/plan/breath.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

constexpr double learner_breath = 0.75;

// Seconds an unbroken slur lasts at pp, mf and ff, by grade; common practice, no source.
constexpr std::array<double, 3> rungs{1.0, 4.0, 6.0};
constexpr std::array<std::array<double, 3>, 3> lasting_s{{{25, 18, 12}, {35, 25, 16}, {45, 35, 22}}};

/// Straight between the rungs, level beyond them.
double lasts(std::size_t grade, double level)
{
    const auto& at = lasting_s[grade];
    if (level <= rungs[0])
        return at[0];
    const std::size_t i = level < rungs[1] ? 0 : 1;
    const double part = std::min(1.0, (level - rungs[i]) / (rungs[i + 1] - rungs[i]));
    return at[i] + part * (at[i + 1] - at[i]);
}

/// Of a quantity that goes straight from a to b: the one whose reciprocal is the reciprocal's mean.
double logarithmic_mean(double a, double b)
{
    return std::abs(b - a) < 1e-6 * a ? 0.5 * (a + b) : (b - a) / std::log(b / a);
}

} // namespace

double lung_of(Player player, double breath_factor)
{
    if (player == Player::ideal)
        return std::numeric_limits<double>::infinity();
    return breath_factor * (player == Player::learner ? learner_breath : 1.0);
}

void add_air(Air& air, double from_level, double to_level, double seconds, double lung)
{
    const double slope = to_level - from_level;
    // In pieces, as the level passes the rungs: in each of them what a breath lasts is straight in time.
    double begin = 0.0;
    for (std::size_t i = 0; i <= rungs.size() && begin < 1.0; ++i) {
        double end = 1.0;
        if (i < rungs.size() && slope != 0.0)
            end =
                std::clamp((rungs[slope > 0.0 ? i : rungs.size() - 1 - i] - from_level) / slope, begin, 1.0);
        if (end > begin)
            for (std::size_t grade = 0; grade < air.size(); ++grade)
                air[grade] += (end - begin) * seconds / lung /
                              logarithmic_mean(lasts(grade, from_level + begin * slope),
                                               lasts(grade, from_level + end * slope));
        begin = end;
    }
}

Grade grade_of(const Air& air)
{
    constexpr double rounding = 1e-9;
    for (std::size_t grade = 0; grade < air.size(); ++grade)
        if (air[grade] <= 1.0 + rounding)
            return Grade(grade);
    return Grade::unplayable;
}

BreathLimits breath_limits(double level, Player player, double breath_factor)
{
    const double lung = lung_of(player, breath_factor);
    return {lung * lasts(0, level), lung * lasts(1, level), lung * lasts(2, level)};
}

} // namespace canebrake
