// SPDX-License-Identifier: MIT
#pragma once

#include "engine/part/watch.h"
#include "engine/remedy/search.h"
#include "engine/telling/spot_report.h"

#include <cstddef>
#include <string>
#include <vector>

namespace canebrake
{

/// A spot as it is told, and the ways around it.
struct ToldRemedies {
    SpotReport told;
    SpotRemedies found;
    bool searched = false; ///< false: not a matter of how it is played, but of who plays or what is printed
};

struct RemedyReport {
    std::string part_name, instrument;
    std::size_t spots = 0; ///< in all
    std::vector<ToldRemedies> all;
    std::vector<std::string> remarks;
};

/// A part on the bench: judged once, so that ways around its spots can be looked for one after the other.
class Remedies
{
public:
    /// Judges the part that the request names.
    Remedies(const Score&, const LineRequest&);
    Remedies(const Remedies&) = delete; // the room points into this
    Remedies& operator=(const Remedies&) = delete;

    const TrialRoom& room() const { return room_; }
    const JudgedPart& judged() const { return judged_; }
    /// Of one spot, by its number in `spots_of`, or (0) of all; at most `most` remedies a spot. InputError
    /// (Fault::usage) if there is no such spot; BrokenOff.
    RemedyReport find(int spot, std::size_t most, const Watch& = {}) const;

private:
    TrillBooks books_;
    Line chosen_;
    TrialRoom room_;
    JudgedPart judged_;
    bool basis_first_;
};

} // namespace canebrake
