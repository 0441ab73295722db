// SPDX-License-Identifier: MIT
#include "cli/commands/play/coming.h"

#include "engine/telling/spot_report.h"

#include <algorithm>
#include <chrono>

namespace canebrake
{

Coming::~Coming()
{
    if (coming_.valid())
        coming_.wait();
}

std::vector<Coming::Place> Coming::judged(const PlayedPart& part, const Manner& manner)
{
    const LineRequest request = part.request(manner);
    TrillBooks books(request.settings.kit); // nobody else's: their answers grow
    const JudgedPart judged(part.written_out(manner, books), request.settings,
                            {.listen = false, .ideal = false, .threads = 1});
    const std::vector<Bar>& bars = judged.played().line.bars;
    std::vector<Place> places;
    for (const SpotReport& spot : report_of(judged).spots) {
        const auto add = [&](const SpotPlace& at) {
            if (at.bar_index < 0 || std::size_t(at.bar_index) >= bars.size())
                return;
            const Bar& bar = bars[std::size_t(at.bar_index)];
            places.push_back({bar.start_quarter + (at.beat - 1.0) * 4.0 / bar.beat_type,
                              "bar " + bar.number + " " + word(spot.cause)});
        };
        add(spot.at);
        for (const SpotPlace& again : spot.again)
            add(again);
    }
    std::stable_sort(places.begin(), places.end(),
                     [](const Place& a, const Place& b) { return a.quarter < b.quarter; });
    return places;
}

std::string Coming::after(double quarter, const Manner& manner)
{
    if (coming_.valid() && coming_.wait_for(std::chrono::seconds(0)) == std::future_status::ready) {
        try {
            places_ = coming_.get();
        } catch (const std::exception&) { // it is only a hint: without it the music plays as well
            places_.clear();
        }
        known_ = asked_;
        is_known_ = true;
    }
    if (!(is_known_ && known_ == manner) && !coming_.valid()) {
        asked_ = manner;
        coming_ = std::async(std::launch::async, [&part = part_, manner] { return judged(part, manner); });
    }
    if (!(is_known_ && known_ == manner))
        return "";
    const auto next = std::find_if(places_.begin(), places_.end(),
                                   [&](const Place& place) { return place.quarter > quarter - 1e-3; });
    return next == places_.end() ? "" : next->words;
}

} // namespace canebrake
