// SPDX-License-Identifier: MIT
#include "engine/files/writing/page_time.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

namespace canebrake::musicxml
{

namespace
{

constexpr std::int64_t finest_binary = 128; // of a quarter: a 512th note
constexpr std::int64_t widest_tuplet = 105; // 3 · 5 · 7
constexpr double same = 1e-6;               // quarters
constexpr double longest_piece = 200'000.0; // quarters; the readers refuse more

std::int64_t odd_part(std::int64_t n)
{
    while (n > 0 && n % 2 == 0)
        n /= 2;
    return n;
}

/// The simplest grid of one beat, as so many cells, for what happens at these places within it, 0 … 1.
int finest(std::vector<double> at)
{
    std::sort(at.begin(), at.end());
    int best = 1;
    double best_cost = 1e300;
    for (const auto& [cells, price] : {std::pair{1, 0.0},
                                       {2, 0.010},
                                       {4, 0.020},
                                       {3, 0.022},
                                       {8, 0.040},
                                       {6, 0.040},
                                       {16, 0.055},
                                       {12, 0.055},
                                       {32, 0.075}}) {
        double worst = 0.0;
        bool collide = false;
        for (std::size_t i = 0; i < at.size(); ++i) {
            worst = std::max(worst, std::abs(at[i] * cells - std::round(at[i] * cells)) / cells);
            collide |= i > 0 && at[i] - at[i - 1] > same &&
                       std::round(at[i] * cells) == std::round(at[i - 1] * cells);
        }
        const double cost = worst + price + (collide ? 1.0 : 0.0);
        if (cost < best_cost) {
            best_cost = cost;
            best = cells;
        }
    }
    return best;
}

/// A grid for each beat of a line.
class Grid
{
public:
    explicit Grid(const std::vector<Note>& notes)
    {
        std::map<std::int64_t, std::vector<double>> onsets; // by beat
        for (const Note& note : notes) {
            const double beat = std::floor(note.start_quarter + same);
            onsets[std::int64_t(beat)].push_back(std::max(0.0, note.start_quarter - beat));
        }
        for (const auto& [beat, at] : onsets)
            cells_[beat] = finest(at);
    }

    int cells(std::int64_t beat) const
    {
        const auto found = cells_.find(beat);
        return found == cells_.end() ? 1 : found->second;
    }
    Fraction nearest(double quarter) const
    {
        const auto beat = std::int64_t(std::floor(quarter + same));
        const int n = cells(beat);
        return Fraction::of(beat * n + std::int64_t(std::llround((quarter - double(beat)) * n)), n);
    }
    /// Rests are counted in halves of a beat, or in the cells of the beat the note ends in.
    Fraction stop(double end) const
    {
        const double coarse = std::round(end * 2.0) / 2.0;
        return std::abs(coarse - end) < 0.13 ? Fraction::of(std::llround(coarse * 2.0), 2) : nearest(end);
    }
    std::vector<Fraction> starts(const std::vector<Note>& notes) const
    {
        std::vector<Fraction> starts(notes.size());
        for (std::size_t i = 0; i < notes.size(); ++i) {
            starts[i] = nearest(notes[i].start_quarter);
            const bool later = i > 0 && notes[i].start_quarter > notes[i - 1].start_quarter + same;
            if (later && starts[i] <= starts[i - 1])
                starts[i] = starts[i - 1] + Fraction{1, 32};
        }
        return starts;
    }

private:
    std::map<std::int64_t, int> cells_; // by beat; none: 1
};

/// Times as played, put on the grid.
void put_on_grid(const Line& line, PageTime& page, std::vector<std::string>& remarks)
{
    const Grid grid(line.notes);
    const std::vector<Fraction> starts = grid.starts(line.notes);
    std::size_t moved = 0, longer = 0, changed = 0;
    double farthest = 0.0;
    for (std::size_t i = 0; i < starts.size(); ++i) {
        const Note& note = line.notes[i];
        const double end = note.start_quarter + note.length_quarters;
        const bool last = i + 1 == starts.size();
        // Up to a quarter of the way to the next note, a gap is how a note is let go and not a rest.
        const double gap = last ? 0.0 : line.notes[i + 1].start_quarter - end;
        const double way = last ? 0.0 : line.notes[i + 1].start_quarter - note.start_quarter;
        Fraction stop;
        if (!last && (note.slurred_to_next || gap <= std::min(0.5, 0.25 * way))) {
            stop = starts[i + 1];
            longer += gap > same;
        } else {
            stop = grid.stop(end);
            if (stop <= starts[i])
                stop = starts[i] + Fraction::of(1, std::max(4, grid.cells(std::int64_t(note.start_quarter))));
            if (!last && stop > starts[i + 1])
                stop = starts[i + 1];
            changed += std::abs(stop.value() - end) > same;
        }
        const double off = std::abs(starts[i].value() - note.start_quarter);
        moved += off > same;
        farthest = std::max(farthest, off);
        page.notes.push_back({starts[i], stop});
    }
    if (moved > 0)
        remarks.push_back(fmt::format("{} of {} notes begin beside the grid of the page: moved by at most "
                                      "{:.3f} of a quarter",
                                      moved, starts.size(), farthest));
    if (longer > 0)
        remarks.push_back(fmt::format("{} notes let go before the next: written up to it", longer));
    if (changed > 0)
        remarks.push_back(fmt::format("{} notes before a rest: their ends put on the grid", changed));
}

void keep(const Line& line, PageTime& page, std::vector<std::string>& remarks)
{
    std::size_t off = 0;
    for (const Note& note : line.notes) {
        bool moved = false;
        PageTime::Span span;
        span.start = page_fraction(std::max(0.0, note.start_quarter), &moved);
        span.end =
            page_fraction(std::max(0.0, note.start_quarter + std::max(0.0, note.length_quarters)), &moved);
        off += moved;
        page.notes.push_back(span);
    }
    if (off > 0)
        remarks.push_back(fmt::format("{} notes at times that no note value says: put on the nearest 1/32 of "
                                      "a quarter",
                                      off));
}

/// One note at a time, each with a length; grace notes with none.
void settle_overlaps(const Line& line, PageTime& page)
{
    constexpr Fraction least{1, 32};
    Fraction next{1'000'000, 1};
    for (std::size_t i = page.notes.size(); i-- > 0;) {
        PageTime::Span& span = page.notes[i];
        if (line.notes[i].grace && line.notes[i].length_quarters <= 0.0) {
            span.end = span.start;
            continue;
        }
        if (span.end > next)
            span.end = next;
        if (span.end <= span.start) // a remark has been made: it was off the page's values
            span.end = std::min(next, span.start + least);
        next = span.start;
    }
}

void settle_bars(const Line& line, PageTime& page)
{
    Fraction end;
    for (const PageTime::Span& span : page.notes)
        end = std::max(end, span.end);
    Fraction at;
    for (std::size_t i = 0; i < line.bars.size(); ++i) {
        const Bar& bar = line.bars[i];
        const Fraction start = page_fraction(std::max(0.0, bar.start_quarter));
        if (i == 0 && start.num > 0) { // silence before the first bar
            page.bars.push_back({"0", 0.0, start.value(), bar.beats, bar.beat_type, {}});
            page.bar_starts.push_back({});
            at = start;
        }
        const double stop = i + 1 < line.bars.size() ? line.bars[i + 1].start_quarter
                                                     : bar.start_quarter + bar.length_quarters;
        const Fraction next = page_fraction(std::max(0.0, stop));
        if (next <= at)
            continue;
        page.bars.push_back(bar);
        page.bar_starts.push_back(at);
        at = next;
    }
    while (at < end || page.bars.empty()) {
        Bar bar;
        bar.number = "1";
        if (!page.bars.empty()) {
            bar = page.bars.back();
            bar.number = std::to_string(page.bars.size() + (page.bars[0].number == "0" ? 0 : 1));
            bar.rehearsal.clear();
        }
        page.bars.push_back(bar);
        page.bar_starts.push_back(at);
        at = at + Fraction::of(4 * std::max(1, bar.beats), std::max(1, bar.beat_type));
    }
    page.bar_starts.push_back(at);
}

} // namespace

Fraction page_fraction(double quarters, bool* moved)
{
    // Continued fraction: the first approximation that is as good as the decimals are.
    quarters = std::isfinite(quarters) ? std::clamp(quarters, 0.0, longest_piece) : 0.0;
    double rest = quarters;
    std::int64_t n0 = 0, d0 = 1, n1 = 1, d1 = 0;
    for (int i = 0; i < 24; ++i) {
        const double whole = std::floor(rest);
        const auto a = std::int64_t(whole);
        const std::int64_t n2 = a * n1 + n0, d2 = a * d1 + d0;
        if (d2 > finest_binary * widest_tuplet)
            break;
        n0 = n1, d0 = d1, n1 = n2, d1 = d2;
        if (std::abs(double(n1) / double(d1) - quarters) < same / 10.0) {
            const std::int64_t odd = odd_part(d1);
            if (odd <= widest_tuplet && d1 / odd <= finest_binary)
                return Fraction::of(n1, d1);
            break;
        }
        if (rest - whole < 1e-12)
            break;
        rest = 1.0 / (rest - whole);
    }
    if (moved)
        *moved = true;
    return Fraction::of(std::llround(quarters * 32.0), 32);
}

PageTime page_time(const Line& line, std::vector<std::string>& remarks)
{
    PageTime page;
    const bool played = std::any_of(line.notes.begin(), line.notes.end(),
                                    [](const Note& note) { return note.source.id.starts_with("track "); });
    if (played)
        put_on_grid(line, page, remarks);
    else
        keep(line, page, remarks);
    settle_overlaps(line, page);
    settle_bars(line, page);
    return page;
}

} // namespace canebrake::musicxml
