// SPDX-License-Identifier: MIT
#include "engine/line/passages.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

namespace
{

double& value_of(TempoPoint& p)
{
    return p.quarters_per_minute;
}
double& value_of(DynamicPoint& p)
{
    return p.level;
}

/// The point in force at `quarter`, moved there; `before` looks just left of it, so that a point standing at
/// `quarter` itself does not count.
template <class Point>
Point in_force(const std::vector<Point>& points, double quarter, bool before, const Point& unsaid)
{
    auto next = before ? std::lower_bound(points.begin(), points.end(), quarter,
                                          [](const Point& p, double q) { return p.quarter < q; })
                       : std::upper_bound(points.begin(), points.end(), quarter,
                                          [](double q, const Point& p) { return q < p.quarter; });
    Point result = unsaid;
    result.quarter = quarter;
    if (next == points.begin())
        return result;
    Point last = *(next - 1);
    value_of(result) = value_of(last);
    if (last.ramp && next != points.end() && next->quarter > last.quarter) {
        Point target = *next;
        const double part = (quarter - last.quarter) / (target.quarter - last.quarter);
        value_of(result) = value_of(last) + part * (value_of(target) - value_of(last));
        result.ramp = true;
    }
    return result;
}

template <class Point>
std::vector<Point> replay_points(const std::vector<Point>& points, const std::vector<Passage>& passages,
                                 const Point& unsaid)
{
    std::vector<Point> result;
    if (points.empty())
        return result;
    for (const Passage& passage : passages) {
        const double shift = passage.at - passage.from;
        auto first = std::lower_bound(points.begin(), points.end(), passage.from,
                                      [](const Point& p, double q) { return p.quarter < q; });
        const bool opens_itself = first != points.end() && first->quarter == passage.from;
        Point opening = in_force(points, passage.from, false, unsaid);
        opening.quarter = passage.at;
        // Nothing said yet on the first pass stays nothing; coming back, it is a change.
        const bool said = first != points.begin();
        const bool news = result.empty() ? said
                                         : (result.back().ramp || opening.ramp ||
                                            value_of(result.back()) != value_of(opening));
        if (!opens_itself && news)
            result.push_back(opening);
        for (; first != points.end() && first->quarter < passage.to; ++first) {
            result.push_back(*first);
            result.back().quarter += shift;
        }
        if (!result.empty() && result.back().ramp) {
            Point closing = in_force(points, passage.to, true, unsaid);
            closing.quarter = passage.to + shift;
            closing.ramp = false;
            result.push_back(closing);
        }
    }
    return result;
}

} // namespace

std::vector<TempoPoint> replay(const std::vector<TempoPoint>& points, const std::vector<Passage>& passages)
{
    const TempoPoint unsaid =
        points.empty() ? TempoPoint{} : TempoPoint{0.0, points.front().quarters_per_minute, false};
    return replay_points(points, passages, unsaid);
}

std::vector<DynamicPoint> replay(const std::vector<DynamicPoint>& points,
                                 const std::vector<Passage>& passages, double unsaid)
{
    return replay_points(points, passages, DynamicPoint{0.0, unsaid, false});
}

std::vector<KeyPoint> replay(const std::vector<KeyPoint>& keys, const std::vector<Passage>& passages)
{
    std::vector<KeyPoint> result;
    const auto say = [&](double quarter, int fifths) {
        if (!result.empty() && result.back().quarter == quarter)
            result.pop_back();
        if (result.empty() || result.back().fifths != fifths)
            result.push_back({quarter, fifths});
    };
    for (const Passage& passage : passages) {
        const auto after = std::upper_bound(keys.begin(), keys.end(), passage.from,
                                            [](double q, const KeyPoint& k) { return q < k.quarter; });
        if (after != keys.begin())
            say(passage.at, (after - 1)->fifths);
        else if (!result.empty())
            say(passage.at, 0);
        for (auto key = after; key != keys.end() && key->quarter < passage.to; ++key)
            say(key->quarter - passage.from + passage.at, key->fifths);
    }
    return result;
}

} // namespace canebrake
