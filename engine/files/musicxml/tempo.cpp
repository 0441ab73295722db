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

} // namespace

std::vector<TempoPoint> written_tempo(const std::vector<WrittenPart>& parts,
                                      const std::vector<double>& starts, std::vector<std::string>& remarks)
{
    const std::vector<Placed> marks = collect(parts, starts);
    const auto first_number = std::find_if(marks.begin(), marks.end(),
                                           [](const Placed& p) { return p.mark.kind == TempoMark::number; });
    const double first_qpm = first_number == marks.end() ? unsaid_qpm : first_number->mark.value;
    if (first_number == marks.end())
        remarks.push_back("the file gives no tempo; 100 quarters a minute assumed");
    else if (first_number->bar > 1)
        remarks.push_back("no tempo before bar " +
                          parts[0].bars[std::min(first_number->bar, parts[0].bars.size() - 1)].number +
                          "; its tempo is taken from the start");

    std::vector<TempoPoint> points{{0.0, first_qpm, false}};
    const auto say = [&](double quarter, double qpm, bool ramp) {
        if (points.back().quarter == quarter && points.back().quarters_per_minute == qpm)
            points.back().ramp = ramp;
        else
            points.push_back({quarter, qpm, ramp});
    };
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
            say(placed.quarter, steady, false);
            continue;
        }
        if (placed.quarter < bending_until)
            continue;
        double end = starts[std::min(placed.bar + 2, starts.size() - 1)];
        for (std::size_t k = i + 1; k < marks.size(); ++k) {
            if (!marks[k].bends() && marks[k].quarter > placed.quarter) {
                end = std::min(end, marks[k].quarter);
                break;
            }
        }
        if (end <= placed.quarter)
            continue;
        const double factor = mark.kind == TempoMark::slowing ? slowing : quickening;
        say(placed.quarter, steady, true);
        say(end, steady * factor, false);
        if (end < starts.back())
            say(end, steady, false);
        bending_until = end;
        bent.push_back(parts[0].bars[std::min(placed.bar, parts[0].bars.size() - 1)].number + " '" +
                       mark.words + "'");
    }
    if (!bent.empty())
        remarks.push_back(
            "tempo words without a number in " + bar_list(bent) +
            ": slowed evenly to 80 % (quickened to 115 %) up to the next tempo or the end of the "
            "next bar");
    return points;
}

} // namespace canebrake::musicxml
