// SPDX-License-Identifier: MIT
#pragma once

#include "engine/spots/change.h"
#include "engine/spots/judged_part.h"

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace canebrake
{

/// A spot, placed on the line as it was read: its notes there, and what the judge says.
struct PlacedSpot {
    Spot spot{};
    NoteRange place{};
};

/// Spots of a line or a stretch of it, those that come back at each of their places.
using Verdicts = std::vector<PlacedSpot>;

/// How a place does: the judge's word, what was measured there, how fast it is against its limits.
struct Figures {
    Grade grade = Grade::easy;
    Heard heard{};
    std::optional<Pace> pace{};
};

/// From a first quarter to before another.
struct Window {
    double from = 0.0, to = 0.0;
    friend bool operator==(const Window&, const Window&) = default;
};

/// Where changes of a part are tried: keeps the part as it was read, its notes numbered (their
/// `Source::number` is their index), and judges changed versions of it, or of the music around a place.
class TrialRoom
{
public:
    /// Of a part as it was read. `books` stay in use.
    TrialRoom(Line chosen, const LineRequest&, TrillBooks& books);

    const Line& line() const { return line_; } ///< numbered
    const LineRequest& request() const { return request_; }
    TrillBooks& books() const { return *books_; }

    /// The bars around a range, some more on either side.
    Window around(NoteRange, int more_bars) const;
    Window everything() const;

    /// Played as it is, or on another instrument.
    PartToPlay played(Line, const std::string& on = "") const;
    JudgedPart judged(Line, const std::string& on, const JudgeOptions&) const;
    /// Verdicts on a part of a version of the line, in notes of the line as it was read.
    Verdicts verdicts(const Line& version, const Window&, const std::string& on, bool listen) const;
    /// What is heard at a place of a version, in the way a spot of that kind is listened to.
    Heard heard_at(const Line& version, const Window&, const std::string& on, const Spot& kind,
                   NoteRange place) const;

private:
    Line line_;
    LineRequest request_;
    TrillBooks* books_;
};

/// All places of a part's spots.
Verdicts verdicts_of(const JudgedPart&);
/// Performed notes, as numbers in the line as it was read.
NoteRange place_of(const Performed&, std::size_t from, std::size_t to);

/// What becomes of a place when one version takes another's stead.
struct Comparison {
    Figures before{}, after{};
    std::optional<Cause> left{}; ///< the worst that is still there, or new there
    bool worse_elsewhere = false;
    double trouble_before = 0.0, trouble_after = 0.0; ///< of all that was judged
    std::size_t places_before = 0, places_after = 0;
};
/// `after`: one a player.
Comparison compare(const Verdicts& before, const std::vector<Verdicts>& after, const PlacedSpot& target);

/// Each spot with its grade's weight (grade.h).
double trouble(const Verdicts&);

} // namespace canebrake
