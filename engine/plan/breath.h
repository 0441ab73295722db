// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/grade.h"
#include "engine/plan/kit.h"
#include "engine/plan/timed_note.h"

#include <cstddef>
#include <limits>
#include <span>
#include <vector>

namespace canebrake
{

/// How long one breath lasts, in seconds: up to `easy_s` easy, up to `awkward_s` awkward, up to `risky_s`
/// risky, and beyond that nobody's.
struct BreathLimits {
    double easy_s, awkward_s, risky_s;
};

/// At one steady dynamic (ladder level; below pp and above ff as there). `breath_factor`: the instrument's, 1
/// for the B-flat clarinet, smaller where it takes more air. Infinite for the ideal player.
BreathLimits breath_limits(double level, Player, double breath_factor = 1.0);

/// Where a breath is taken.
enum class BreathPlace {
    rest,  ///< in a silence
    mark,  ///< where one is printed
    joint, ///< between two notes that are tongued
    slur   ///< inside a slur, which it breaks: the air would not have lasted
};

struct Breath {
    std::size_t after = 0; ///< the note before it
    BreathPlace place = BreathPlace::rest;
    double start_s = 0.0;
    double length_s = 0.0; ///< a catch breath 0.3 to 0.5 s, a full one 0.8 s and more
    double stolen_s = 0.0; ///< taken from the end of the note before it
    double late_s = 0.0;   ///< what could not be stolen: the next note comes late, or this one is left out
};

/// What has to be played on one breath as written: from one breath at a good place to the next.
struct AirSpan {
    static constexpr std::size_t none = std::numeric_limits<std::size_t>::max();
    std::size_t from = 0, to = 0; ///< first and last note
    double seconds = 0.0;
    BreathLimits limits{}; ///< at the dynamics it is played at, air summed over time
    Grade grade = Grade::easy;
    /// Where a player who runs out does least harm by breathing: after this note. `none` where the span is
    /// easy or is one note.
    std::size_t break_after = none;
};

struct BreathPlan {
    std::vector<Breath> breaths;
    std::vector<AirSpan> spans;
};

/// Breathing for a whole line, by a shortest path over all places between two notes.
///
/// A breath costs the music nothing in a rest of 0.8 s or more (it is always taken there) and little in a
/// shorter one; more between tongued notes, where it shortens the note before: least at the end of a slur, on
/// a long note, at a bar line, before a leap, more between repeated notes. It costs much where neither
/// silence nor the note leaves time for 0.3 s, and most inside a slur. Printed marks are always obeyed. A
/// stretch on one breath costs the more, the harder it is (breath_limits), and no stretch outlasts what is
/// risky unless it is a single note. Of two ways equally good the one that breathes later wins.
///
/// A joint where 0.3 s can be had without taking more than three fifths of the note is a good place; so one
/// of half a second always is. Only there do spans end: inside a span the writer asks for one breath,
/// whatever the player does. If a span is too long but has tongued joints in it, and no slur of it is too
/// long, a note left out saves it: then it is risky and not unplayable.
///
/// Left out: a catch breath fills the lungs as a full one does (it is dearer, not smaller); stale air; the
/// compass (low notes take no more than high ones). The figures are common practice, not measurements.
/// Circular breathing and the ideal player have no limit: they breathe in rests and at marks alone.
///
/// Linear in the notes, since what one breath holds is bounded: at most a thousand notes are weighed for it.
/// `notes` in playing order, not overlapping.
BreathPlan plan_breaths(std::span<const TimedNote> notes, const Kit&, double breath_factor = 1.0);

/// What breathing after exactly these notes costs the music, in the planner's own units; infinite if the air
/// does not last or a printed mark is passed over. The planner finds the least.
double cost_of_breaths(std::span<const TimedNote> notes, const Kit&, std::span<const std::size_t> after,
                       double breath_factor = 1.0);

} // namespace canebrake
