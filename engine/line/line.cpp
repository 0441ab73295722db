// SPDX-License-Identifier: MIT
#include "engine/line/line.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

// Along a ramp the tempo is v(x) = v0 + s·x over quarters x, so the time is
//   t(x) = ∫ 60/v dx = (60/s)·ln(1 + s·x/v0),   and backwards   x(t) = v0/s·(e^(s·t/60) − 1).
// The logarithm is taken by log1p, which keeps the limit s → 0 exact.
namespace
{

constexpr double slowest_qpm = 1.0; // a tempo of 0 or less would never end

double seconds_along(double quarters, double qpm, double slope)
{
    if (slope == 0.0)
        return 60.0 * quarters / qpm;
    return 60.0 / slope * std::log1p(slope * quarters / qpm);
}

double quarters_along(double seconds, double qpm, double slope)
{
    if (slope == 0.0)
        return seconds * qpm / 60.0;
    return qpm / slope * std::expm1(slope * seconds / 60.0);
}

} // namespace

TempoMap::TempoMap(const std::vector<TempoPoint>& points, double scale)
{
    for (std::size_t i = 0; i < points.size(); ++i) {
        const double qpm = std::max(slowest_qpm, points[i].quarters_per_minute) * scale;
        const double quarter = i == 0 ? std::min(0.0, points[i].quarter) : points[i].quarter;
        double seconds = 0.0;
        if (!pieces_.empty()) {
            const Piece& last = pieces_.back();
            seconds = last.seconds + seconds_along(quarter - last.quarter, last.qpm, last.slope);
        } else {
            seconds = seconds_along(quarter, qpm, 0.0);
        }
        double slope = 0.0;
        if (points[i].ramp && i + 1 < points.size() && points[i + 1].quarter > quarter)
            slope = (std::max(slowest_qpm, points[i + 1].quarters_per_minute) * scale - qpm) /
                    (points[i + 1].quarter - quarter);
        if (!pieces_.empty() && pieces_.back().quarter >= quarter)
            pieces_.back() = {quarter, pieces_.back().seconds, qpm, slope};
        else
            pieces_.push_back({quarter, seconds, qpm, slope});
    }
    if (pieces_.empty())
        pieces_.push_back({0.0, 0.0, TempoPoint{}.quarters_per_minute * scale, 0.0});
}

double TempoMap::seconds_at(double quarter) const
{
    auto next = std::upper_bound(pieces_.begin(), pieces_.end(), quarter,
                                 [](double q, const Piece& p) { return q < p.quarter; });
    if (next == pieces_.begin())
        return next->seconds + seconds_along(quarter - next->quarter, next->qpm, 0.0);
    const Piece& piece = *(next - 1);
    return piece.seconds + seconds_along(quarter - piece.quarter, piece.qpm, piece.slope);
}

double TempoMap::quarter_at(double seconds) const
{
    auto next = std::upper_bound(pieces_.begin(), pieces_.end(), seconds,
                                 [](double s, const Piece& p) { return s < p.seconds; });
    if (next == pieces_.begin())
        return next->quarter + quarters_along(seconds - next->seconds, next->qpm, 0.0);
    const Piece& piece = *(next - 1);
    return piece.quarter + quarters_along(seconds - piece.seconds, piece.qpm, piece.slope);
}

double TempoMap::tempo_at(double quarter) const
{
    auto next = std::upper_bound(pieces_.begin(), pieces_.end(), quarter,
                                 [](double q, const Piece& p) { return q < p.quarter; });
    if (next == pieces_.begin())
        return next->qpm;
    const Piece& piece = *(next - 1);
    return piece.qpm + piece.slope * (quarter - piece.quarter);
}

double dynamic_at(const std::vector<DynamicPoint>& points, double quarter, double fallback)
{
    auto next = std::upper_bound(points.begin(), points.end(), quarter,
                                 [](double q, const DynamicPoint& p) { return q < p.quarter; });
    if (next == points.begin())
        return fallback;
    const DynamicPoint& last = *(next - 1);
    if (!last.ramp || next == points.end() || next->quarter <= last.quarter)
        return last.level;
    const double part = (quarter - last.quarter) / (next->quarter - last.quarter);
    return last.level + part * (next->level - last.level);
}

} // namespace canebrake
