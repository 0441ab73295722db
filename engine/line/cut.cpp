// SPDX-License-Identifier: MIT
#include "engine/line/line.h"
#include "engine/line/passages.h"
#include "models/units/input_error.h"

#include <algorithm>
#include <charconv>

namespace canebrake
{

namespace
{

/// The number a bar prints, without letters: "12", "12a" and "X12" are all 12. −1: none.
int bar_number(const std::string& printed)
{
    const auto digit = printed.find_first_of("0123456789");
    int number = -1;
    if (digit != std::string::npos)
        std::from_chars(printed.data() + digit, printed.data() + printed.size(), number);
    return number;
}

std::vector<BendPoint> replay_bends(const std::vector<BendPoint>& bends, const std::vector<Passage>& passages)
{
    std::vector<BendPoint> result;
    for (const Passage& passage : passages) {
        double bend = 0.0;
        const std::size_t opening = result.size();
        for (const BendPoint& point : bends) {
            if (point.quarter <= passage.from)
                bend = point.semitones;
            else if (point.quarter < passage.to)
                result.push_back({point.quarter - passage.from + passage.at, point.semitones});
        }
        if (!bends.empty())
            result.insert(result.begin() + std::ptrdiff_t(opening), {passage.at, bend});
    }
    return result;
}

/// Who plays, in each passage: whoever had the part there before it, then each change inside.
std::vector<InstrumentStretch> replay_instruments(const std::vector<InstrumentStretch>& stretches,
                                                  const std::vector<Passage>& passages)
{
    std::vector<InstrumentStretch> result;
    const auto add = [&](InstrumentStretch stretch, double at) {
        stretch.start_quarter = at;
        if (!result.empty() && result.back().start_quarter == at)
            result.pop_back();
        if (result.empty() || result.back().name != stretch.name || result.back().other != stretch.other)
            result.push_back(std::move(stretch));
    };
    for (const Passage& passage : passages) {
        const InstrumentStretch* before = nullptr;
        for (const InstrumentStretch& stretch : stretches)
            if (stretch.start_quarter <= passage.from || before == nullptr)
                before = &stretch;
        if (before != nullptr)
            add(*before, passage.at);
        for (const InstrumentStretch& stretch : stretches)
            if (stretch.start_quarter > passage.from && stretch.start_quarter < passage.to)
                add(stretch, stretch.start_quarter - passage.from + passage.at);
    }
    return result;
}

/// All that holds from a quarter on: tempo, dynamics, keys, bends, who plays.
void keep_marks(const Line& line, const std::vector<Passage>& passages, Line& cut)
{
    cut.tempo = replay(line.tempo, passages);
    cut.dynamics = replay(line.dynamics, passages);
    cut.keys = replay(line.keys, passages);
    cut.bends = replay_bends(line.bends, passages);
    cut.instruments = replay_instruments(line.instruments, passages);
}

/// The wanted bars, one after the other.
struct KeptBars {
    std::vector<Bar> bars{};
    std::vector<int> new_index{};          // one a bar of the line; −1: left out
    std::vector<std::size_t> passage_of{}; // likewise
    std::vector<Passage> passages{};
    double end = 0.0; // quarters
};

KeptBars kept_bars(const Line& line, int first, int last)
{
    KeptBars kept;
    kept.new_index.assign(line.bars.size(), -1);
    kept.passage_of.assign(line.bars.size(), 0);
    int lowest = 0, highest = 0;
    for (std::size_t i = 0; i < line.bars.size(); ++i) {
        const Bar& bar = line.bars[i];
        const int number = bar_number(bar.number);
        lowest = i == 0 ? number : std::min(lowest, number);
        highest = i == 0 ? number : std::max(highest, number);
        if (number < first || number > last)
            continue;
        if (i == 0 || kept.new_index[i - 1] < 0)
            kept.passages.push_back({bar.start_quarter, bar.start_quarter, kept.end});
        kept.passages.back().to = bar.start_quarter + bar.length_quarters;
        kept.passage_of[i] = kept.passages.size() - 1;
        kept.new_index[i] = int(kept.bars.size());
        kept.bars.push_back(bar);
        kept.bars.back().start_quarter = kept.end;
        kept.end += bar.length_quarters;
    }
    if (kept.bars.empty())
        throw InputError("bars " + std::to_string(first) + " to " + std::to_string(last) +
                             ": found none of them, wanted bars between " + std::to_string(lowest) + " and " +
                             std::to_string(highest),
                         Fault::usage);
    return kept;
}

/// Puts the notes of the kept bars into `cut`, no slur over a gap.
void keep_notes(const Line& line, const KeptBars& kept, Line& cut)
{
    cut.notes.clear();
    std::size_t last_kept = line.notes.size();
    for (std::size_t i = 0; i < line.notes.size(); ++i) {
        const Note& note = line.notes[i];
        const auto bar = std::size_t(std::max(0, note.source.bar_index));
        if (bar >= line.bars.size() || kept.new_index[bar] < 0)
            continue;
        const Passage& passage = kept.passages[kept.passage_of[bar]];
        if (!cut.notes.empty() && last_kept + 1 != i)
            cut.notes.back().slurred_to_next = false;
        cut.notes.push_back(note);
        Note& copy = cut.notes.back();
        copy.start_quarter += passage.at - passage.from;
        copy.length_quarters = std::min(note.length_quarters, std::max(0.0, passage.to - note.start_quarter));
        copy.source.bar_index = kept.new_index[bar];
        last_kept = i;
    }
    if (!cut.notes.empty() && last_kept + 1 < line.notes.size())
        cut.notes.back().slurred_to_next = false;
}

} // namespace

Line cut_to_quarters(const Line& line, double from, double to)
{
    if (from <= 0.0 && (line.notes.empty() || line.notes.back().start_quarter < to))
        return line;
    Line cut = line;
    cut.notes.clear();
    for (const Note& note : line.notes)
        if (note.start_quarter >= from && note.start_quarter < to) {
            cut.notes.push_back(note);
            cut.notes.back().start_quarter -= from;
        }
    for (Bar& bar : cut.bars)
        bar.start_quarter -= from;
    keep_marks(line, {{from, to, 0.0}}, cut);
    cut.end_quarter = std::min(to, line.end_quarter) - from;
    return cut;
}

// Bars in playing order: a repeat that runs through the wanted bars plays them each time; the bars between
// are left out, not kept as silence. What sounds over the last bar line is cut there.
Line cut_to_bars(const Line& line, int first, int last)
{
    KeptBars kept = kept_bars(line, first, last);
    Line cut = line;
    cut.bars = std::move(kept.bars);
    keep_notes(line, kept, cut);
    keep_marks(line, kept.passages, cut);
    if (kept.passages.size() > 1)
        cut.remarks.push_back("bars " + std::to_string(first) + " to " + std::to_string(last) + " come in " +
                              std::to_string(kept.passages.size()) +
                              " passes of the playing order; all are kept, one after the other");
    cut.end_quarter = kept.end;
    return cut;
}

} // namespace canebrake
