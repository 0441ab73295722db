// SPDX-License-Identifier: MIT
#include "engine/note_finding/find_notes.h"
#include "engine/listening/listening.h"
#include "engine/note_finding/note_cuts.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{
using namespace listening;

/// The clarinet's modes lie near 1, 3 and 5: from the first to the second, from the second to the third.
constexpr double twelfth = 1901.955, major_sixth = 884.359;
constexpr double register_slack = 90.0, growl_slack = 130.0, bend_cents = 90.0;
constexpr double clearly_db = 6.0;
constexpr double over_db = 20.0; // a note is over when it is so far under its loudest
const std::size_t longest_crack = note_hops(0.110), longest_search = note_hops(0.250);
const std::size_t longest_wobble = note_hops(0.080), trend = note_hops(0.020);

/// Gives to each note what is only its beginning or its end.
class Sifter
{
public:
    Sifter(const NoteCurve& curve, double shortest_s) : curve_(curve), shortest_(note_hops(shortest_s)) {}

    std::vector<Run> notes(const std::vector<Run>& cut) const
    {
        std::vector<Run> heard = joined(without_ringing(cut));
        std::vector<Run> kept;
        for (Run& run : heard)
            if (run.length() >= shortest_) {
                if (run.tongued)
                    run.start = speaks_from(run, kept.empty() ? 0 : kept.back().end);
                const double over = curve_.loudest(run) - over_db;
                while (run.length() > shortest_ && curve_.level(run.end - 1) < over)
                    --run.end;
                kept.push_back(run);
            }
        return kept;
    }

    /// Where a note is within 6 dB of its loudest: there its pitch is its own, not the room's.
    Run loud_part(Run run) const
    {
        const double wanted = curve_.loudest(run) - clearly_db;
        while (curve_.level(run.start) < wanted)
            ++run.start;
        while (curve_.level(run.end - 1) < wanted)
            --run.end;
        return run;
    }

private:
    std::vector<Run> without_ringing(const std::vector<Run>& cut) const
    {
        std::vector<Run> heard;
        for (const Run& run : cut)
            if (heard.empty() || !dies_away(run, heard.back()))
                heard.push_back(run);
        return heard;
    }

    std::vector<Run> joined(std::vector<Run> heard) const
    {
        std::vector<Run> longer; // what is too short for a note is on the way to the next
        for (std::size_t i = 0; i < heard.size(); ++i)
            if (i + 1 < heard.size() && heard[i].length() < shortest_ && !heard[i + 1].tongued)
                begin_with(heard[i + 1], heard[i]);
            else
                longer.push_back(heard[i]);
        std::vector<Run> notes; // the last first
        for (auto run = longer.rbegin(); run != longer.rend(); ++run)
            if (!notes.empty() && (speaks_into(*run, notes.back()) || same_change(*run, notes.back())))
                begin_with(notes.back(), *run);
            else
                notes.push_back(*run);
        std::reverse(notes.begin(), notes.end());
        return notes;
    }

    static void begin_with(Run& note, const Run& beginning)
    {
        note.start = beginning.start;
        note.tongued = beginning.tongued;
    }

    /// Whether a run is the start of the note after it, which has not found its register yet: it sounds in
    /// another one, or bends towards it, briefly or softly.
    bool speaks_into(const Run& run, const Run& next) const
    {
        if (next.tongued || next.start > run.end + longest_hole)
            return false;
        const std::size_t length = run.length();
        const double off = std::abs(next.cents - run.cents);
        const auto apart_by = [&](double interval) { return std::abs(off - interval) < register_slack; };
        const bool soft = curve_.loudest(run) < curve_.loudest(next) - clearly_db;
        if (apart_by(twelfth))
            return length <= (soft ? longest_search : longest_crack);
        if (apart_by(major_sixth) && soft)
            return length <= longest_crack;
        if (std::abs(off - 1200.0) < growl_slack)
            return length <= (run.tongued ? longest_crack : longest_wobble);
        const auto distance = [&](std::size_t from) {
            return std::abs(curve_.pitch_between(from, from + trend) - next.cents);
        };
        return off < bend_cents && run.tongued && soft && length <= longest_search &&
               distance(run.end - trend) < distance(run.start) - 15.0;
    }

    /// Whether a run is only what is left of the note before it: the tube or the room ringing.
    bool dies_away(const Run& run, const Run& before) const
    {
        const std::size_t third = run.length() / 3 + 1;
        const double under_db = curve_.loudest(before) - curve_.loudest(run);
        const double falls_db =
            curve_.loudest(run.start, run.start + third) - curve_.loudest(run.end - third, run.end);
        const double rises_db = curve_.loudest(run) - curve_.level(run.start);
        const bool same = std::abs(run.cents - before.cents) < quarter_tone;
        return (under_db > 12.0 && (falls_db > 6.0 || (same && rises_db < 10.0))) ||
               (under_db > 25.0 && run.length() <= longest_wobble);
    }

    /// Where a note that comes out of a gap begins to sound: before its pitch is there, as a rule.
    std::size_t speaks_from(const Run& run, std::size_t not_before) const
    {
        const std::size_t from = std::max(not_before, run.start - std::min(run.start, longest_crack));
        double floor_db = curve_.level(run.start);
        for (std::size_t i = from; i < run.start; ++i)
            floor_db = std::min(floor_db, curve_.level(i));
        const double wanted = std::max(floor_db + 6.0, curve_.loudest(run) - 30.0);
        std::size_t start = run.start;
        while (start > from && curve_.level(start - 1) > wanted)
            --start;
        return start;
    }

    /// Whether a dip soon after slurred fingers is theirs, not the tongue's.
    bool same_change(const Run& run, const Run& next) const
    {
        return !run.tongued && next.tongued && next.start == run.end && run.length() <= longest_wobble &&
               std::abs(next.cents - run.cents) < quarter_tone;
    }

    const NoteCurve& curve_;
    std::size_t shortest_;
};
} // namespace

std::vector<FoundNote> find_notes(std::span<const float> audio, SampleRate rate, const FindOptions& options)
{
    const NoteCurve curve(note_frames(audio, rate, options));
    const Sifter sifter(curve, options.shortest_s);
    std::vector<FoundNote> notes;
    for (const Run& run : sifter.notes(cut_notes(curve))) {
        FoundNote note{double(run.start) * note_hop_s, double(run.end) * note_hop_s, 0.0};
        const Run loud = sifter.loud_part(run);
        const auto sample = [&](double share) { // of the loud part
            const double hop = double(loud.start) + share * double(loud.length());
            return std::min(audio.size(), std::size_t(hop * note_hop_s * rate.value));
        };
        const std::size_t from = sample(0.3), to = sample(0.9);
        const double about_hz = std::exp2(run.cents / 1200.0);
        note.hz = settled_frequency(audio.subspan(from, to - from), rate, about_hz);
        if (note.hz <= 0.0)
            note.hz = about_hz;
        notes.push_back(note);
    }
    return notes;
}

} // namespace canebrake
