// SPDX-License-Identifier: MIT
#include "engine/note_finding/note_cuts.h"

#include <algorithm>

namespace canebrake::listening
{
namespace
{
constexpr double quiet_under_loud_db = 55.0, least_level_db = -75.0;
constexpr double dip_db = 5.0;         // the tongue's dip, under both its sides
constexpr double stroke_db = 12.0;     // between two pitches a dip so deep is the tongue's
constexpr double over_bottom_db = 1.5; // a note has begun when it is so far over the bottom of its dip
constexpr double far_under_db = 35.0;  // but not while it is so far under what follows
constexpr double drawn_cents = 75.0, steady_cents = 25.0;

const std::size_t holds = note_hops(0.020);  // a pitch that lasts so long is meant
const std::size_t memory = note_hops(0.040); // what a pitch is compared with
const std::size_t plateau = note_hops(0.060);
const std::size_t change_reach = note_hops(0.030); // about a change of pitch a dip is looked for
const std::size_t steep = note_hops(0.060);        // so quick are the tongue's fall and rise
const std::size_t rise_reach = note_hops(0.240), fall_reach = note_hops(0.600);

double middle_of(std::vector<double>& values)
{
    if (values.empty())
        return 0.0;
    const auto at = values.begin() + std::ptrdiff_t(values.size() / 2);
    std::nth_element(values.begin(), at, values.end());
    return *at;
}

class Cutter
{
public:
    explicit Cutter(const NoteCurve& curve) : curve_(curve) {}

    std::vector<Run> cut() const
    {
        std::vector<Run> runs;
        for (const Run& run : by_pitch())
            for (const Run& part : at_plateaus(run))
                for (const Run& note : at_dips(part))
                    runs.push_back(note);
        for (Run& run : runs)
            run.cents = curve_.pitch_between(run.start, run.end);
        return runs;
    }

private:
    /// Whether from `i` on a pitch holds.
    bool settles(std::size_t i) const
    {
        if (i + holds > curve_.size())
            return false;
        for (std::size_t k = i; k < i + holds; ++k)
            if (!curve_.sounds(k) || std::abs(curve_.cents(k) - curve_.cents(i + holds / 2)) > quarter_tone)
                return false;
        return true;
    }

    std::vector<Run> by_pitch() const
    {
        std::vector<Run> runs;
        for (std::size_t i = 0; i < curve_.size();) {
            if (!settles(i)) {
                ++i;
                continue;
            }
            Run run{i, i + holds, 0.0, runs.empty() || i - runs.back().end > longest_hole};
            std::size_t k = run.end;
            for (; k < curve_.size() && k - run.end <= longest_hole; ++k) {
                if (!curve_.sounds(k))
                    continue;
                const double here =
                    curve_.pitch_between(run.end - std::min(memory, run.end - run.start), run.end);
                if (std::abs(curve_.cents(k) - here) <= quarter_tone)
                    run.end = k + 1;
                else if (settles(k))
                    break;
            }
            runs.push_back(run);
            i = run.end;
        }
        for (std::size_t i = 1; i < runs.size(); ++i)
            if (!runs[i].tongued)
                meet(runs[i - 1], runs[i]);
        return runs;
    }

    /// Between two pitches that follow each other the change is in the middle, or where the level rises.
    void meet(Run& before, Run& after) const
    {
        std::size_t change = (before.end + after.start) / 2;
        const std::size_t from = std::max(before.start, before.end - std::min(before.end, change_reach));
        const std::size_t to = std::min(after.end, after.start + change_reach);
        std::size_t bottom = from;
        for (std::size_t i = from; i < to; ++i)
            if (curve_.level(i) < curve_.level(bottom))
                bottom = i;
        const double depth =
            std::min(curve_.loudest(from, bottom + 1), curve_.loudest(bottom, to)) - curve_.level(bottom);
        if (depth >= dip_db)
            change = rise_after(bottom, to);
        after.tongued = depth >= stroke_db;
        before.end = after.start = change;
    }

    std::size_t rise_after(std::size_t bottom, std::size_t end) const
    {
        const double peak_db = curve_.loudest(bottom, std::min(end, bottom + rise_reach));
        const double wanted_db = std::max(curve_.level(bottom) + over_bottom_db, peak_db - far_under_db);
        std::size_t start = bottom;
        while (start + 1 < end && curve_.level(start + 1) < wanted_db)
            ++start;
        return start;
    }

    bool steady(std::size_t i) const
    {
        const std::size_t half = memory / 2;
        return i >= half && i + half < curve_.size() && curve_.sounds(i - half) && curve_.sounds(i) &&
               curve_.sounds(i + half) &&
               std::abs(curve_.cents(i + half) - curve_.cents(i - half)) < steady_cents;
    }

    /// A pitch that was drawn to another and stays there: cut where it is half-way.
    std::vector<Run> at_plateaus(Run run) const
    {
        std::vector<Run> parts;
        double held = 0.0; // pitch of the plateau before, which ends at `left`
        std::size_t left = run.start;
        for (std::size_t i = run.start; i < run.end;) {
            std::size_t end = i;
            while (end < run.end && steady(end))
                ++end;
            if (end - i >= plateau) {
                const double here = curve_.pitch_between(i, end);
                if (held > 0.0 && std::abs(here - held) >= drawn_cents) {
                    std::size_t half = left;
                    while (half < i && std::abs(curve_.cents(half) - held) < 0.5 * std::abs(here - held))
                        ++half;
                    parts.push_back({run.start, half, 0.0, run.tongued});
                    run.start = half;
                    run.tongued = false;
                }
                held = here;
                left = end;
            }
            i = end + 1;
        }
        parts.push_back(run);
        return parts;
    }

    /// Whether the level falls to a bottom at `i` and rises again, one of them as steeply as the tongue does.
    bool is_dip(std::size_t i, const Run& run) const
    {
        if (curve_.level(i) > curve_.level(i - 1) || curve_.level(i) >= curve_.level(i + 1))
            return false;
        const auto fall_db = [&](std::size_t reach) {
            return curve_.loudest(i - std::min(reach, i - run.start), i + 1) - curve_.level(i);
        };
        const auto rise_db = [&](std::size_t reach) {
            double after_db = curve_.level(i);
            for (std::size_t k = i + 1;
                 k < std::min(run.end, i + reach) && curve_.level(k) >= curve_.level(i); ++k)
                after_db = std::max(after_db, curve_.level(k));
            return after_db - curve_.level(i);
        };
        return (fall_db(steep) >= dip_db && rise_db(rise_reach) >= dip_db) ||
               (fall_db(fall_reach) >= dip_db && rise_db(steep) >= dip_db);
    }

    /// Cut where the level falls and rises again.
    std::vector<Run> at_dips(Run run) const
    {
        std::vector<Run> notes;
        for (std::size_t i = run.start + 1; i + 1 < run.end; ++i)
            if (is_dip(i, run)) {
                const std::size_t start = rise_after(i, run.end);
                notes.push_back({run.start, start, 0.0, run.tongued});
                run.start = start;
                run.tongued = true;
                i = start;
            }
        notes.push_back(run);
        return notes;
    }

    const NoteCurve& curve_;
};
} // namespace

NoteCurve::NoteCurve(std::vector<NoteFrame> frames) : frames_(std::move(frames)), quiet_db_(least_level_db)
{
    std::vector<double> levels;
    for (const NoteFrame& frame : frames_)
        if (frame.cents > 0.0)
            levels.push_back(frame.level_db);
    if (levels.empty())
        return;
    const auto loud = levels.begin() + std::ptrdiff_t(0.95 * double(levels.size()));
    std::nth_element(levels.begin(), loud, levels.end());
    quiet_db_ = std::max(least_level_db, *loud - quiet_under_loud_db);
}

double NoteCurve::loudest(std::size_t from, std::size_t to) const
{
    double level_db = -200.0;
    for (std::size_t i = from; i < to; ++i)
        level_db = std::max(level_db, level(i));
    return level_db;
}

double NoteCurve::pitch_between(std::size_t from, std::size_t to) const
{
    std::vector<double> all;
    for (std::size_t i = from; i < std::min(to, size()); ++i)
        if (sounds(i))
            all.push_back(cents(i));
    return middle_of(all);
}

std::vector<Run> cut_notes(const NoteCurve& curve)
{
    return Cutter(curve).cut();
}

} // namespace canebrake::listening
