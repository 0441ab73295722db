// SPDX-License-Identifier: MIT
#include "engine/files/writing/page_plan.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace canebrake::musicxml
{

namespace
{

constexpr std::int64_t most_divisions = std::int64_t(1) << 24;

bool is_grace(const Note& note)
{
    return note.grace && note.length_quarters <= 0.0;
}

} // namespace

bool rocks(const Note& note)
{
    return std::any_of(note.ornaments.begin(), note.ornaments.end(),
                       [](const Ornament& o) { return o.kind == OrnamentKind::two_note_tremolo; });
}

PagePlan::PagePlan(const Line& line, int first_transposition, std::vector<std::string>& remarks)
    : time(page_time(line, remarks))
{
    lay_out_bars(line, remarks);
    hang_graces(line, remarks);
    find_slurs(line);
    find_transpositions(line, first_transposition);
}

Meter PagePlan::meter_of(std::size_t bar) const
{
    Meter meter{std::clamp(time.bars[bar].beats, 1, 256), std::clamp(time.bars[bar].beat_type, 1, 128), {}};
    const Fraction full = Fraction::of(4 * meter.beats, meter.beat_type);
    const Fraction length = time.bar_starts[bar + 1] - time.bar_starts[bar];
    if (bar == 0 && length < full)
        meter.upbeat = full - length;
    return meter;
}

/// Cuts notes and rests at the bar lines, then into note values; finds the divisions that count them all.
void PagePlan::lay_out_bars(const Line& line, std::vector<std::string>& remarks)
{
    std::vector<Stretch> whole; // from the start of the piece
    Fraction at;
    std::size_t without_room = 0;
    for (std::size_t i = 0; i < line.notes.size(); ++i) {
        const auto [start, end] = time.notes[i];
        if (is_grace(line.notes[i]))
            continue;
        if (end <= start) {
            ++without_room;
            continue;
        }
        if (start > at)
            whole.push_back({at, start - at});
        const bool rocking = rocks(line.notes[i]);
        const Fraction half = (end - start) * Fraction{1, 2};
        whole.push_back({start, rocking ? half : end - start, int(i)});
        if (rocking)
            whole.push_back({start + half, half, int(i), true});
        at = end;
    }
    if (at < time.bar_starts.back())
        whole.push_back({at, time.bar_starts.back() - at});

    if (without_room > 0)
        remarks.push_back(std::to_string(without_room) + " notes that begin together with another left out");

    std::size_t next = 0;
    for (std::size_t bar = 0; bar < time.bars.size(); ++bar) {
        const Fraction from = time.bar_starts[bar], to = time.bar_starts[bar + 1];
        std::vector<Stretch> inside;
        for (; next < whole.size() && whole[next].start < to; ++next) {
            Stretch& each = whole[next];
            const Fraction end = std::min(to, each.start + each.length);
            inside.push_back({each.start - from, end - each.start, each.note, each.goal});
            if (end < each.start + each.length) {
                each.length = each.start + each.length - end;
                each.start = end;
                break;
            }
        }
        bars.push_back(page_values(inside, meter_of(bar)));
        for (const Piece& piece : bars.back())
            if (const std::int64_t both = std::lcm(divisions, piece.of.length.den); both <= most_divisions)
                divisions = both;
    }
}

/// Each small note goes before the note it leads to, else after the last one.
void PagePlan::hang_graces(const Line& line, std::vector<std::string>& remarks)
{
    std::size_t main = line.notes.size(), lost = 0;
    for (std::size_t i = 0; i < line.notes.size(); ++i) {
        if (!is_grace(line.notes[i])) {
            main = i;
            continue;
        }
        std::size_t next = i;
        while (next < line.notes.size() && is_grace(line.notes[next]))
            ++next;
        const bool leads = next < line.notes.size() && time.notes[next].start == time.notes[i].start;
        const bool follows = main < line.notes.size();
        if (follows && (line.notes[i].grace_after || !leads))
            after[main].push_back(i);
        else if (leads)
            before[next].push_back(i);
        else
            ++lost;
    }
    if (lost > 0)
        remarks.push_back(std::to_string(lost) + " grace notes with no note to lean on are left out");
}

void PagePlan::find_slurs(const Line& line)
{
    const std::size_t count = line.notes.size();
    slur_start.assign(count, false);
    slur_stop.assign(count, false);
    for (std::size_t i = 0; i + 1 < count; ++i) {
        if (!line.notes[i].slurred_to_next)
            continue;
        slur_start[i] = i == 0 || !line.notes[i - 1].slurred_to_next;
        slur_stop[i + 1] = i + 2 >= count || !line.notes[i + 1].slurred_to_next;
    }
}

void PagePlan::find_transpositions(const Line& line, int first)
{
    const auto distance = [&](std::size_t i) {
        return line.notes[i].sounding.number - line.notes[i].printed;
    };
    const auto whole = [](double d) { return std::abs(d - std::round(d)) < 1e-6; };
    int base = 0;
    for (std::size_t i = 0; i < line.notes.size(); ++i)
        if (whole(distance(i))) {
            base = int(std::lround(distance(i)));
            break;
        }
    int now = base;
    for (std::size_t i = 0; i < line.notes.size(); ++i) {
        if (whole(distance(i)))
            now = int(std::lround(distance(i)));
        transposition.push_back(first + now - base);
        const double off = distance(i) - now;
        micro.push_back(std::abs(off) < 1.0 ? off : 0.0);
    }
}

} // namespace canebrake::musicxml
