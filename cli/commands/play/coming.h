// SPDX-License-Identifier: MIT
#pragma once

#include "engine/live/played_part.h"

#include <future>
#include <string>
#include <vector>

namespace canebrake
{

/// The rough places of what is playing, for the transport line: the rules alone speak, since there is no time
/// to listen. Judged on a thread of its own, again for each new player or clarinet; until then nothing comes.
class Coming
{
public:
    explicit Coming(const PlayedPart& part) : part_(part) {}
    ~Coming();
    Coming(const Coming&) = delete;
    Coming& operator=(const Coming&) = delete;

    /// "bar 14 crossing": the next one from a place on; empty: none, or not known yet.
    std::string after(double quarter, const Manner&);

private:
    struct Place {
        double quarter;
        std::string words;
    };
    static std::vector<Place> judged(const PlayedPart&, const Manner&);
    const PlayedPart& part_;
    std::vector<Place> places_;
    Manner known_, asked_;
    bool is_known_ = false;
    std::future<std::vector<Place>> coming_;
};

} // namespace canebrake
