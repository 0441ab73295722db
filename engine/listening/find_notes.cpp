// SPDX-License-Identifier: MIT
#include "engine/listening/find_notes.h"
#include "engine/listening/listening.h"
#include "engine/listening/note_frames.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace canebrake
{
namespace
{
using listening::note_hop_s;
using listening::NoteFrame;

constexpr double quarter_tone = 50.0;
constexpr double quiet_under_loud_db = 55.0, least_level_db = -75.0;
constexpr double dip_db = 5.0;         // the tongue's dip, under both its sides
constexpr double over_bottom_db = 1.5; // a note has begun when it is so far over the bottom of its dip

std::size_t hops(double s)
{
    return std::size_t(std::lround(s / note_hop_s));
}

const std::size_t holds = hops(0.020);  // a pitch that lasts so long is meant
const std::size_t memory = hops(0.040); // what a pitch is compared with
const std::size_t bridge = hops(0.060); // a hole in a note, not yet its end
const std::size_t dip_reach = hops(0.060), rise_reach = hops(0.240);

/// From a register of the clarinet to the next: its modes lie near 1, 3, 5, 7.
constexpr std::array<double, 5> registers{1901.955, 884.359, 582.512, 2786.314, 1466.871};
constexpr double register_slack = 90.0; // cents
const std::size_t longest_crack = hops(0.110), longest_search = hops(0.250);

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
    double level(std::size_t i) const { return frames_[i].level_db; }

private:
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
        // Between two pitches that follow each other, the change is in the middle.
        for (std::size_t i = 1; i < runs.size(); ++i)
            if (!runs[i].tongued) {
                const std::size_t middle = (runs[i - 1].end + runs[i].start) / 2;
                runs[i - 1].end = runs[i].start = middle;
            }
        return runs;
    }

    /// A pitch that was drawn to another: cut where it is half-way.
    std::vector<Run> at_plateaus(Run run) const
    {
        const std::size_t plateau = hops(0.080);
        if (run.end - run.start < 3 * plateau)
            return {run};
        const double first = pitch_between(run.start, run.start + plateau),
                     last = pitch_between(run.end - plateau, run.end);
        (void)first, (void)last;
        return {run};
    }

    /// Cut where the level falls and rises again.
    std::vector<Run> at_dips(Run run) const
    {
        std::vector<Run> notes;
        std::size_t from = run.start;
        for (std::size_t i = run.start + 1; i + 1 < run.end; ++i) {
            if (level(i) > level(i - 1) || level(i) >= level(i + 1))
                continue;
            // Deepest within reach?
            double before = -200.0, after = -200.0;
            bool deepest = true;
            for (std::size_t k = i; k > from && i - k < dip_reach && deepest; --k) {
                before = std::max(before, level(k - 1));
                deepest = level(k - 1) >= level(i);
            }
            for (std::size_t k = i + 1; k < run.end && k - i < rise_reach; ++k) {
                if (level(k) < level(i)) {
                    deepest = deepest && after - level(i) >= dip_db;
                    break;
                }
                after = std::max(after, level(k));
            }
            if (!deepest || before - level(i) < dip_db || after - level(i) < dip_db)
                continue;
            std::size_t start = i;
            while (start + 1 < run.end && level(start + 1) < level(i) + over_bottom_db)
                ++start;
            notes.push_back({from, start, 0.0, notes.empty() ? run.tongued : true});
            from = start;
            i = start;
        }
        notes.push_back({from, run.end, 0.0, notes.empty() ? run.tongued : true});
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
        const bool other_register = std::any_of(registers.begin(), registers.end(), [&](double interval) {
            return std::abs(off - interval) < register_slack;
        });
        const bool soft = loudest(run) < loudest(next) - 6.0;
        if (other_register)
            return length <= (soft ? longest_search : longest_crack);
        return off < 130.0 && run.tongued && soft && length <= longest_search;
    }

    std::vector<Run> sifted(std::vector<Run> runs, std::size_t shortest) const
    {
        for (std::size_t i = runs.size(); i-- > 1;)
            if (speaks_into(runs[i - 1], runs[i])) {
                runs[i].start = runs[i - 1].start;
                runs[i].tongued = runs[i - 1].tongued;
                runs.erase(runs.begin() + std::ptrdiff_t(i - 1));
            }
        std::vector<Run> kept;
        for (const Run& run : runs)
            if (run.end - run.start >= shortest)
                kept.push_back(run);
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
        const double length_s = note.end_s - note.start_s;
        const auto from = std::size_t((note.start_s + 0.3 * length_s) * rate.value);
        const auto to = std::min(audio.size(), std::size_t((note.end_s - 0.1 * length_s) * rate.value));
        const double about_hz = std::exp2(run.cents / 1200.0);
        note.hz = to > from ? settled_frequency(audio.subspan(from, to - from), rate, about_hz) : 0.0;
        if (note.hz <= 0.0)
            note.hz = about_hz;
        notes.push_back(note);
    }
    return notes;
}

} // namespace canebrake
