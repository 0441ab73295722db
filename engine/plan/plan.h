// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/plan/chart.h"
#include "engine/plan/trill.h"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace canebrake
{

/// What the planner needs to know of one note.
struct PlanNote {
    WrittenPitch written;
    double seconds = 0.25; ///< until the next note starts
    double rest_s = 0.0;   ///< silence in it, after the note
    bool slurred_to_next = false;
    bool tongued = false;         ///< begins with the tongue
    std::string asked_for;        ///< a printed or typed fingering, which wins
    std::optional<Figure> figure; ///< part of a written-out ornament
};

/// What was chosen for one note.
struct Choice {
    bool silent = false; ///< off the instrument; the rest says nothing
    Fingering fingering;
    Hands hands;
    std::size_t blown_as = 0;       ///< row of Instrument::blowing
    bool as_asked = false;          ///< the fingering was asked for
    double trill_error_cents = 0.0; ///< of a trill's upper note: its interval minus the nominal one
};

/// Costs of the planner, each a number of plain finger moves (one finger down, unhurried, is 1).
///
/// A move costs its effort (Transition), times 0.6 when there is all the time in the world, and the more the
/// shorter the note is against what the move needs: hurry² on top, ninefold at most. Tongued moves cost half,
/// moves over a rest a quarter. A move between throat and clarion costs three fingers more: thumb, index and
/// a new register at once. An alternate costs a habit, and by its colour and tuning the more the longer it is
/// held; side-key notes above the throat, whose tone nobody could bear, far more. High alternates are for
/// slurs: the tongue finds them late. All from common practice, tried until the usual fingerings came out; no
/// source.
class PlanCosts
{
public:
    /// `prepares`: the player lays fingers down early over throat notes.
    explicit PlanCosts(bool prepares) : prepares_(prepares) {}
    double note(const Candidate&, const PlanNote&) const;
    double move(const Candidate& from, const Candidate& to, const PlanNote& before) const;

private:
    bool prepares_;
};

/// All ways the planner may take a note: what was asked for, or the chart's.
std::vector<Candidate> ways_of(const Chart&, const PlanNote&);

/// The cheapest way through a line: a shortest path over all ways to take each note. Both notes of a trill, a
/// mordent or a two-note tremolo come from the trill book instead, best way first. Deterministic; time grows
/// with the notes and the square of the ways (at most about thirty).
std::vector<Choice> plan_fingerings(TrillBook&, std::span<const PlanNote>, bool prepares);

} // namespace canebrake
