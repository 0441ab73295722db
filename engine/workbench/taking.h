// SPDX-License-Identifier: MIT
#pragma once

#include "engine/remedy/remedies.h"
#include "engine/workbench/sounding.h"

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace canebrake
{

/// A remedy by its numbers as they are told: "2.1" is the first remedy of spot 2.
struct RemedyNumber {
    int spot = 0, remedy = 0;
    friend bool operator==(const RemedyNumber&, const RemedyNumber&) = default;
};

/// Places of each grade: awkward, risky, unplayable.
using GradeCounts = std::array<std::size_t, 3>;

/// A part with remedies taken in it, judged again as a whole: what was tried in its surroundings now stands
/// in the part. Refers to the Remedies.
class TakenRemedies
{
public:
    /// Takes each of them, everywhere it holds. InputError (Fault::usage): no such remedy, two that change
    /// the same notes, or another clarinet or a second player together with others. BrokenOff.
    TakenRemedies(const Remedies&, const std::vector<RemedyNumber>&, const LineRequest&, const Watch& = {});

    const std::vector<std::string>& what() const
    {
        return what_;
    } ///< one line each: "tongue D5 instead of …"
    GradeCounts before() const { return before_; }
    GradeCounts after() const { return after_; }
    /// MusicXML, one a player: the second is for whoever takes notes over. The first is what was opened, with
    /// only these changes, where that is MusicXML and the change can be made in it; `remarks` says where not.
    /// Compressed as it came.
    std::vector<std::string> pages(const Bench&, std::vector<std::string>& remarks) const;
    Sounding sound() const;

private:
    std::vector<PartToPlay> played() const;
    std::optional<std::string> edited(const Bench&, const Casting&, std::vector<std::string>& remarks) const;

    const TrialRoom& room_;
    LineRequest request_;
    bool as_it_says_ = false; ///< the line itself says what it is played on
    std::vector<Line> versions_;
    std::vector<std::string> what_;
    GradeCounts before_{}, after_{};
};

/// A part as it is, transposed and spelled for one clarinet of the family.
struct PartForInstrument {
    std::string musicxml;
    std::size_t notes = 0, off = 0; ///< off the instrument
    int fifths = 0;                 ///< of the signature at the beginning
    std::vector<std::string> warnings, remarks;
};
PartForInstrument part_for_instrument(const Bench&, const LineRequest&, const FamilyMember&);

} // namespace canebrake
