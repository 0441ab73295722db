// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/curves.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

namespace canebrake::musicxml
{

namespace
{

constexpr double unsaid_level = 4.0;
constexpr std::size_t bars_words_reach = 8;
constexpr std::size_t bars_words_last = 2; // "cresc." with no mark in reach
constexpr double tie_width = 1e-9;

struct LevelMark {
    double quarter = 0.0, level = 4.0;
};

/// A crescendo (way 1) or diminuendo (-1) from `start` to `stop`; `reach`: how late its goal may stand.
struct Ramp {
    double start = 0.0, stop = 0.0, reach = 0.0;
    double way = 1.0;
    bool to_niente = false, from_niente = false;
    bool is_words = false;
};

struct Marks {
    std::vector<LevelMark> levels, percents;
    std::vector<Ramp> ramps;
    bool any = false;
};

Marks collect(const WrittenPart& part, const std::vector<double>& starts, std::vector<std::string>& remarks)
{
    Marks marks;
    std::map<int, std::size_t> open; // wedge number → its ramp
    std::size_t unclosed = 0;
    for (std::size_t i = 0; i < part.bars.size(); ++i) {
        std::vector<DynamicMark> in_bar = part.bars[i].dynamics;
        std::stable_sort(in_bar.begin(), in_bar.end(),
                         [](const DynamicMark& a, const DynamicMark& b) { return a.at < b.at; });
        const double bar_end = starts[i + 1];
        for (const DynamicMark& mark : in_bar) {
            const double quarter = std::min(starts[i] + mark.at.value(), bar_end);
            const std::size_t reach_bar = std::min(i + 1 + bars_words_reach, starts.size() - 1);
            marks.any |= mark.kind != DynamicMark::percent;
            switch (mark.kind) {
            case DynamicMark::level:
                marks.levels.push_back({quarter, mark.value});
                break;
            case DynamicMark::percent:
                marks.percents.push_back({quarter, mark.value});
                break;
            case DynamicMark::wedge_start:
                open[mark.number] = marks.ramps.size();
                marks.ramps.push_back({quarter, -1.0, 0.0, mark.value, false, mark.niente, false});
                break;
            case DynamicMark::wedge_stop:
                if (const auto wedge = open.find(mark.number); wedge != open.end()) {
                    Ramp& ramp = marks.ramps[wedge->second];
                    ramp.stop = quarter;
                    ramp.reach = starts[std::min(i + 2, starts.size() - 1)];
                    ramp.to_niente = mark.niente && ramp.way < 0;
                    open.erase(wedge);
                }
                break;
            case DynamicMark::words:
                marks.ramps.push_back({quarter, starts[std::min(i + bars_words_last, starts.size() - 1)],
                                       starts[reach_bar], mark.value, false, false, true});
                break;
            case DynamicMark::sforzando:
            case DynamicMark::forte_piano:
                break;
            }
        }
    }
    std::erase_if(marks.ramps, [&](const Ramp& ramp) {
        unclosed += ramp.stop < 0.0;
        return ramp.stop <= ramp.start;
    });
    if (unclosed > 0)
        remarks.push_back(std::to_string(unclosed) + " hairpins without an end are left out");
    std::stable_sort(marks.ramps.begin(), marks.ramps.end(),
                     [](const Ramp& a, const Ramp& b) { return a.start < b.start; });
    std::stable_sort(marks.levels.begin(), marks.levels.end(),
                     [](const LevelMark& a, const LevelMark& b) { return a.quarter < b.quarter; });
    return marks;
}

class Curve
{
public:
    explicit Curve(Marks marks) : marks_(std::move(marks)) {}

    std::vector<DynamicPoint> draw()
    {
        for (std::size_t r = 0; r < marks_.ramps.size(); ++r)
            draw_ramp(r);
        take_levels_up_to(1e300);
        return std::move(points_);
    }

private:
    void say(double quarter, double level, bool ramp)
    {
        if (!points_.empty() && points_.back().quarter == quarter && points_.back().level == level)
            points_.back().ramp = ramp; // the goal of a hairpin is the mark itself
        else
            points_.push_back({quarter, level, ramp});
        level_ = level;
    }
    void take_levels_up_to(double quarter)
    {
        for (;
             next_level_ < marks_.levels.size() && marks_.levels[next_level_].quarter <= quarter + tie_width;
             ++next_level_)
            say(marks_.levels[next_level_].quarter, marks_.levels[next_level_].level, false);
    }

    void draw_ramp(std::size_t r)
    {
        Ramp ramp = marks_.ramps[r];
        if (ramp.start < drawn_until_ - tie_width)
            return; // a second sign over the same place, such as "cresc." in a hairpin
        // The next sign ends words, and what lies behind it is no goal any more.
        for (std::size_t k = r + 1; k < marks_.ramps.size(); ++k) {
            const double other = marks_.ramps[k].start;
            if (other <= ramp.start + tie_width)
                continue;
            if (ramp.is_words && other < ramp.reach)
                ramp.stop = ramp.reach = other;
            if (!ramp.is_words)
                ramp.reach = std::max(ramp.stop, std::min(ramp.reach, other));
            break;
        }
        take_levels_up_to(ramp.start);
        if (ramp.from_niente)
            level_ = -1.0;
        const LevelMark* goal = next_level_ < marks_.levels.size() ? &marks_.levels[next_level_] : nullptr;
        if (goal && goal->quarter > ramp.reach + tie_width)
            goal = nullptr;
        if (goal && (ramp.is_words || goal->quarter < ramp.stop))
            ramp.stop = goal->quarter;
        // A mark against the way (cresc. to a sudden p) is no goal: one step up, then the mark.
        const bool on_its_way = goal && (goal->level - level_) * ramp.way > 0.0;
        double target = on_its_way ? goal->level : std::clamp(level_ + ramp.way, 0.0, 7.0);
        if (ramp.to_niente)
            target = -1.0;
        say(ramp.start, level_, true);
        say(ramp.stop, target, false);
        drawn_until_ = ramp.stop;
    }

    Marks marks_;
    std::vector<DynamicPoint> points_;
    std::size_t next_level_ = 0;
    double level_ = unsaid_level;
    double drawn_until_ = -1.0;
};

} // namespace

std::vector<DynamicPoint> written_dynamics(const WrittenPart& part, const std::vector<double>& starts,
                                           std::vector<std::string>& remarks)
{
    Marks marks = collect(part, starts, remarks);
    if (marks.any)
        return Curve(std::move(marks)).draw();
    // `sound dynamics` is in percent of a forte of MIDI velocity 90 (MusicXML 4.0, `sound`); a step of the
    // ladder is 16 velocities (common practice, no source).
    std::vector<DynamicPoint> points;
    for (const LevelMark& percent : marks.percents)
        points.push_back(
            {percent.quarter, std::clamp(5.0 + (percent.level - 100.0) * 0.9 / 16.0, 0.0, 7.0), false});
    return points;
}

std::vector<KeyPoint> written_keys(const WrittenPart& part, const std::vector<double>& starts)
{
    std::vector<KeyPoint> keys;
    for (std::size_t i = 0; i < part.bars.size(); ++i)
        for (const KeyMark& mark : part.bars[i].keys)
            keys.push_back({std::min(starts[i] + mark.at.value(), starts[i + 1]), mark.fifths});
    std::stable_sort(keys.begin(), keys.end(),
                     [](const KeyPoint& a, const KeyPoint& b) { return a.quarter < b.quarter; });
    return keys;
}

} // namespace canebrake::musicxml
