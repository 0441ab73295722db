// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/chart.h"
#include "engine/plan/grade.h"
#include "models/bore/resonator.h"

#include <map>
#include <utility>
#include <vector>

namespace canebrake
{

/// One way to trill, or to rock between two notes: what is held, what moves, and what comes of it.
struct TrillWay {
    Candidate lower, upper;    ///< the lower note as held, and with the trill's fingers moved
    double lower_cents = 0.0;  ///< model's deviation of the lower note from where this instrument has it
    double error_cents = 0.0;  ///< model's interval minus the nominal one
    double effort = 0.0;       ///< of one move, Transition::effort
    double notes_per_s = 12.0; ///< as fast as a professional does it
    Grade grade = Grade::easy; ///< easy, awkward, risky: nothing on the instrument is refused
};

/// Ways to trill on one instrument with one kit, searched on the bore model: from every way to take the lower
/// note, one or two fingers are moved (or all that lie between two charted fingerings) and the pitch that
/// results is asked of the resonator. Ways whose interval is within 60 cents are ranked by fingers, tuning
/// and colour. The first question for a pair takes about a tenth of a second; answers are kept.
class TrillBook
{
public:
    TrillBook(const Instrument&, const Kit&);

    /// Best way first; `semitones` ≥ 1. Empty only if one of the notes is off the instrument.
    const std::vector<TrillWay>& ways(WrittenPitch lower, int semitones);

    const Chart& chart() const { return chart_; }
    const Resonator& bore() const { return bore_; }

private:
    double played(HoleState with_vent, double near_hz);
    int mode_of(HoleState without_vent, double hz);
    double target_hz(WrittenPitch) const;
    void try_way(const Candidate& lower, const Candidate& upper, bool charted, std::vector<TrillWay>&);
    std::vector<TrillWay> search(WrittenPitch lower, int semitones);

    Chart chart_;
    Resonator bore_;
    std::map<std::pair<HoleState, int>, double> played_; // by holes and target, in cents above C0
    std::map<HoleState, std::vector<double>> modes_;
    std::map<std::pair<int, int>, std::vector<TrillWay>> ways_;
};

} // namespace canebrake
