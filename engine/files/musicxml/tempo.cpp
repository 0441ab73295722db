// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/curves.h"

#include <algorithm>

namespace canebrake::musicxml
{

namespace
{

constexpr double slowing = 0.80, quickening = 1.15; // common practice, no source
constexpr double unsaid_qpm = 100.0;

struct Placed {
    double quarter = 0.0;
    std::size_t bar = 0;
    TempoMark mark;
    bool bends() const { return mark.kind == TempoMark::slowing || mark.kind == TempoMark::quickening; }
};

std::vector<Placed> collect(const std::vector<WrittenPart>& parts, const std::vector<double>& starts)
{
    std::vector<Placed> placed;
    for (const WrittenPart& part : parts)
        for (std::size_t i = 0; i < part.bars.size(); ++i)
            for (const TempoMark& mark : part.bars[i].tempo)
                placed.push_back({std::min(starts[i] + mark.at.value(), starts[i + 1]), i, mark});
    std::stable_sort(placed.begin(), placed.end(),
                     [](const Placed& a, const Placed& b) { return a.quarter < b.quarter; });
    // The same words in every part are one; of two numbers at one spot the upper part's counts.
    std::vector<Placed> kept;
    for (Placed& p : placed) {
        const bool again = std::any_of(kept.rbegin(), kept.rend(), [&](const Placed& k) {
            return k.quarter == p.quarter && k.mark.kind == p.mark.kind;
        });
        if (!again || kept.empty() || kept.back().quarter != p.quarter)
            kept.push_back(std::move(p));
    }
    // A number at the same spot settles "a tempo".
    for (std::size_t i = 0; i < kept.size(); ++i)
        if (kept[i].mark.kind == TempoMark::a_tempo || kept[i].mark.kind == TempoMark::first_tempo)
            for (const Placed& other : kept)
                if (other.quarter == kept[i].quarter && other.mark.kind == TempoMark::number)
                    kept[i].mark = other.mark;
    return kept;
}

const std::string& bar_number(const WrittenPart& part, std::size_t bar)
{
    return part.bars[std::min(bar, part.bars.size() - 1)].number;
}

/// The first number, which holds from the start; a remark if it is missing or comes late.
double first_tempo(const std::vector<Placed>& marks, const WrittenPart& part,
                   std::vector<std::string>& remarks)
{
    const auto number = std::find_if(marks.begin(), marks.end(),
                                     [](const Placed& p) { return p.mark.kind == TempoMark::number; });
    if (number == marks.end()) {
        remarks.push_back("the file gives no tempo; 100 quarters a minute assumed");
        return unsaid_qpm;
    }
    if (number->bar > 1)
        remarks.push_back("no tempo before bar " + bar_number(part, number->bar) +
                          "; its tempo is taken from the start");
    return number->mark.value;
}

/// A bend goes up to the next tempo or the end of the next bar.
double end_of_bend(const std::vector<Placed>& marks, std::size_t bend, const std::vector<double>& starts)
{
    const double end = starts[std::min(marks[bend].bar + 2, starts.size() - 1)];
    for (std::size_t k = bend + 1; k < marks.size(); ++k)
        if (!marks[k].bends() && marks[k].quarter > marks[bend].quarter)
            return std::min(end, marks[k].quarter);
    return end;
}

/// Tempo points in order, none said twice.
class Points
{
public:
    explicit Points(double first_qpm) : all_{{0.0, first_qpm, false}} {}
    void say(double quarter, double qpm, bool ramp)
    {
        if (all_.back().quarter == quarter && all_.back().quarters_per_minute == qpm)
            all_.back().ramp = ramp;
        else
            all_.push_back({quarter, qpm, ramp});
    }
    const std::vector<TempoPoint>& all() const { return all_; }

private:
    std::vector<TempoPoint> all_;
};

} // namespace

std::vector<TempoPoint> written_tempo(const std::vector<WrittenPart>& parts,
                                      const std::vector<double>& starts, std::vector<std::string>& remarks)
{
    const std::vector<Placed> marks = collect(parts, starts);
    const double first_qpm = first_tempo(marks, parts[0], remarks);
    Points points(first_qpm);
    double steady = first_qpm;
    double bending_until = -1.0;
    std::vector<std::string> bent;
    for (std::size_t i = 0; i < marks.size(); ++i) {
        const Placed& placed = marks[i];
        const TempoMark& mark = placed.mark;
        if (!placed.bends()) {
            if (mark.kind == TempoMark::number)
                steady = mark.value;
            else if (mark.kind == TempoMark::modulation)
                steady = std::clamp(steady * mark.value, 5.0, 2000.0);
            else if (mark.kind == TempoMark::first_tempo)
                steady = first_qpm;
            points.say(placed.quarter, steady, false);
            continue;
        }
        const double end = end_of_bend(marks, i, starts);
        if (placed.quarter < bending_until || end <= placed.quarter)
            continue;
        points.say(placed.quarter, steady, true);
        points.say(end, steady * (mark.kind == TempoMark::slowing ? slowing : quickening), false);
        if (end < starts.back())
            points.say(end, steady, false);
        bending_until = end;
        bent.push_back(bar_number(parts[0], placed.bar) + " '" + mark.words + "'");
    }
    if (!bent.empty())
        remarks.push_back(
            "tempo words without a number in " + bar_list(bent) +
            ": slowed evenly to 80 % (quickened to 115 %) up to the next tempo or the end of the "
            "next bar");
    return points.all();
}

} // namespace canebrake::musicxml
