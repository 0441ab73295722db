// SPDX-License-Identifier: MIT
#include "engine/listening/find_notes.h"
#include "engine/listening/listening.h"
#include "engine/listening/note_frames.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{
using listening::note_hop_s;
using listening::NoteFrame;

constexpr double quarter_tone = 50.0;
constexpr double quiet_under_loud_db = 55.0, least_level_db = -75.0;
constexpr double drawn_cents = 75.0, steady_cents = 25.0; // within 40 ms
constexpr double stroke_db = 12.0;                        // between two pitches a dip so deep is the tongue's
constexpr double dip_db = 5.0;                            // the tongue's dip, under both its sides
constexpr double loud_db = 6.0;
constexpr double over_db = 20.0;       // a note is over when it is so far under its loudest
constexpr double over_bottom_db = 1.5; // a note has begun when it is so far over the bottom of its dip

std::size_t hops(double s)
{
    return std::size_t(std::lround(s / note_hop_s));
}

const std::size_t holds = hops(0.020);  // a pitch that lasts so long is meant
const std::size_t memory = hops(0.040); // what a pitch is compared with
const std::size_t bridge = hops(0.060); // a hole in a note, not yet its end
const std::size_t plateau = hops(0.060);
const std::size_t dip_reach = hops(0.060), steep = hops(0.060), rise_reach = hops(0.240),
                  fall_reach = hops(0.600);

/// The clarinet's modes lie near 1, 3 and 5: from the first to the second, from the second to the third.
constexpr double twelfth = 1901.955, major_sixth = 884.359;
constexpr double register_slack = 90.0; // cents
const std::size_t longest_crack = hops(0.110), longest_search = hops(0.250), longest_wobble = hops(0.080);
constexpr double bend_cents = 90.0;

/// A stretch of frames that is one note, as far as is known.
struct Run {
    std::size_t start = 0, end = 0;
    double cents = 0.0;
    bool tongued = false; ///< begins with a rise of level
};

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
    explicit Cutter(std::vector<NoteFrame> frames) : frames_(std::move(frames))
    {
        std::vector<double> levels;
        for (const NoteFrame& frame : frames_)
            if (frame.cents > 0.0)
                levels.push_back(frame.level_db);
        double loud = 0.0;
        if (!levels.empty()) {
            const auto at = levels.begin() + std::ptrdiff_t(0.95 * double(levels.size()));
            std::nth_element(levels.begin(), at, levels.end());
            loud = *at;
        }
        quiet_db_ = std::max(least_level_db, loud - quiet_under_loud_db);
    }

    std::vector<Run> cut(double shortest_s)
    {
        std::vector<Run> runs;
        for (const Run& run : by_pitch())
            for (const Run& half : at_plateaus(run))
                for (const Run& note : at_dips(half))
                    runs.push_back(note);
        for (Run& run : runs)
            run.cents = pitch_between(run.start, run.end);
        return sifted(std::move(runs), hops(shortest_s));
    }
    /// Where a note is within 6 dB of its loudest: there its pitch is its own, not the room's.
    Run loud_part(Run run) const
    {
        const double wanted_db = loudest(run) - loud_db;
        while (level(run.start) < wanted_db)
            ++run.start;
        while (level(run.end - 1) < wanted_db)
            --run.end;
        return run;
    }

private:
    double level(std::size_t i) const { return frames_[i].level_db; }
    bool sounds(std::size_t i) const { return frames_[i].cents > 0.0 && level(i) > quiet_db_; }

    double pitch_between(std::size_t from, std::size_t to) const
    {
        std::vector<double> all;
        for (std::size_t i = from; i < to; ++i)
            if (sounds(i))
                all.push_back(frames_[i].cents);
        return middle_of(all);
    }

    /// Whether from `i` on a pitch holds.
    bool settles(std::size_t i) const
    {
        if (i + holds > frames_.size())
            return false;
        for (std::size_t k = i; k < i + holds; ++k)
            if (!sounds(k) || std::abs(frames_[k].cents - frames_[i + holds / 2].cents) > quarter_tone)
                return false;
        return true;
    }

    std::vector<Run> by_pitch() const
    {
        std::vector<Run> runs;
        for (std::size_t i = 0; i < frames_.size();) {
            if (!settles(i)) {
                ++i;
                continue;
            }
            Run run{i, i + holds, 0.0, runs.empty() || i - runs.back().end > bridge};
            std::size_t k = run.end;
            for (; k < frames_.size() && k - run.end <= bridge; ++k) {
                if (!sounds(k))
                    continue;
                const double here = pitch_between(run.end - std::min(memory, run.end - run.start), run.end);
                if (std::abs(frames_[k].cents - here) <= quarter_tone)
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
        const std::size_t from = std::max(before.start, before.end - std::min(before.end, dip_reach / 2));
        const std::size_t to = std::min(after.end, after.start + dip_reach / 2);
        std::size_t bottom = from;
        for (std::size_t i = from; i < to; ++i)
            if (level(i) < level(bottom))
                bottom = i;
        const double depth = std::min(loudest({from, bottom + 1}), loudest({bottom, to})) - level(bottom);
        if (depth >= dip_db)
            change = rise_after(bottom, to);
        after.tongued = depth >= stroke_db;
        before.end = after.start = change;
    }

    std::size_t rise_after(std::size_t bottom, std::size_t end) const
    {
        std::size_t start = bottom;
        while (start + 1 < end && level(start + 1) < level(bottom) + over_bottom_db)
            ++start;
        return start;
    }

    bool steady(std::size_t i) const
    {
        const std::size_t half = memory / 2;
        return i >= half && i + half < frames_.size() && sounds(i - half) && sounds(i) && sounds(i + half) &&
               std::abs(frames_[i + half].cents - frames_[i - half].cents) < steady_cents;
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
                const double here = pitch_between(i, end);
                if (held > 0.0 && std::abs(here - held) >= drawn_cents) {
                    std::size_t half = left;
                    while (half < i && std::abs(frames_[half].cents - held) < 0.5 * std::abs(here - held))
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
        if (level(i) > level(i - 1) || level(i) >= level(i + 1))
            return false;
        const auto fall_db = [&](std::size_t reach) {
            return loudest({i - std::min(reach, i - run.start), i + 1}) - level(i);
        };
        const auto rise_db = [&](std::size_t reach) {
            double after_db = level(i);
            for (std::size_t k = i + 1; k < std::min(run.end, i + reach) && level(k) >= level(i); ++k)
                after_db = std::max(after_db, level(k));
            return after_db - level(i);
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

    double loudest(const Run& run) const
    {
        double level_db = -200.0;
        for (std::size_t i = run.start; i < run.end; ++i)
            level_db = std::max(level_db, level(i));
        return level_db;
    }

    /// Whether a run is the start of the note after it, which has not found its register yet: it sounds in
    /// another one, or bends towards it, briefly or softly.
    bool speaks_into(const Run& run, const Run& next) const
    {
        if (next.tongued || next.start > run.end + bridge)
            return false;
        const std::size_t length = run.end - run.start;
        const double off = std::abs(next.cents - run.cents);
        const auto apart_by = [&](double interval) { return std::abs(off - interval) < register_slack; };
        const bool soft = loudest(run) < loudest(next) - 6.0;
        if (apart_by(twelfth))
            return length <= (soft ? longest_search : longest_crack);
        if ((apart_by(major_sixth) && soft) || (apart_by(1200.0) && run.tongued))
            return length <= longest_crack;
        const auto distance = [&](std::size_t from) {
            return std::abs(pitch_between(from, from + holds) - next.cents);
        };
        return off < bend_cents && run.tongued && soft && length <= longest_search &&
               distance(run.end - holds) < distance(run.start) - 15.0;
    }

    /// Whether a run is only what is left of the note before it: the tube or the room ringing.
    bool dies_away(const Run& run, const Run& before) const
    {
        const std::size_t length = run.end - run.start, third = length / 3;
        const double under_db = loudest(before) - loudest(run);
        const double falls_db =
            loudest({run.start, run.start + third + 1}) - loudest({run.end - third - 1, run.end});
        return (under_db > 12.0 && falls_db > 6.0) || (under_db > 25.0 && length <= longest_wobble);
    }

    /// Where a note that comes out of a gap begins to sound: before its pitch is there, as a rule.
    std::size_t speaks_from(const Run& run, std::size_t not_before) const
    {
        const std::size_t from = std::max(not_before, run.start - std::min(run.start, longest_crack));
        double floor_db = level(run.start);
        for (std::size_t i = from; i < run.start; ++i)
            floor_db = std::min(floor_db, level(i));
        const double wanted = std::max(floor_db + 6.0, loudest(run) - 30.0);
        std::size_t start = run.start;
        while (start > from && level(start - 1) > wanted)
            --start;
        return start;
    }

    /// Whether a dip soon after slurred fingers is theirs, not the tongue's.
    bool same_change(const Run& run, const Run& next) const
    {
        return !run.tongued && next.tongued && next.start == run.end &&
               run.end - run.start <= longest_wobble && std::abs(next.cents - run.cents) < quarter_tone;
    }

    std::vector<Run> sifted(std::vector<Run> runs, std::size_t shortest) const
    {
        std::vector<Run> heard;
        for (const Run& run : runs)
            if (heard.empty() || !dies_away(run, heard.back()))
                heard.push_back(run);
        const auto goes_into_next = [&](std::size_t i) {
            heard[i + 1].start = heard[i].start;
            heard[i + 1].tongued = heard[i].tongued;
            heard.erase(heard.begin() + std::ptrdiff_t(i));
        };
        for (std::size_t i = 0; i + 1 < heard.size();) // on the way to the next
            if (heard[i].end - heard[i].start < shortest && !heard[i + 1].tongued)
                goes_into_next(i);
            else
                ++i;
        for (std::size_t i = heard.size(); i-- > 1;)
            if (speaks_into(heard[i - 1], heard[i]) || same_change(heard[i - 1], heard[i]))
                goes_into_next(i - 1);
        std::vector<Run> kept;
        for (const Run& run : heard)
            if (run.end - run.start >= shortest)
                kept.push_back(run);
        for (std::size_t i = 0; i < kept.size(); ++i)
            if (kept[i].tongued)
                kept[i].start = speaks_from(kept[i], i > 0 ? kept[i - 1].end : 0);
        for (Run& run : kept)
            while (run.end > run.start + shortest && level(run.end - 1) < loudest(run) - over_db)
                --run.end;
        return kept;
    }

    std::vector<NoteFrame> frames_;
    double quiet_db_ = -75.0;
};
} // namespace

std::vector<FoundNote> find_notes(std::span<const float> audio, SampleRate rate, const FindOptions& options)
{
    Cutter cutter(listening::note_frames(audio, rate, options));
    std::vector<FoundNote> notes;
    for (const Run& run : cutter.cut(options.shortest_s)) {
        FoundNote note{double(run.start) * note_hop_s, double(run.end) * note_hop_s, 0.0};
        const Run loud = cutter.loud_part(run);
        const double length_s = double(loud.end - loud.start) * note_hop_s,
                     start_s = double(loud.start) * note_hop_s;
        const auto from = std::size_t((start_s + 0.3 * length_s) * rate.value);
        const auto to = std::min(audio.size(), std::size_t((start_s + 0.9 * length_s) * rate.value));
        const double about_hz = std::exp2(run.cents / 1200.0);
        note.hz = to > from ? settled_frequency(audio.subspan(from, to - from), rate, about_hz) : 0.0;
        if (note.hz <= 0.0)
            note.hz = about_hz;
        notes.push_back(note);
    }
    return notes;
}

} // namespace canebrake
