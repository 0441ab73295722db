// SPDX-License-Identifier: MIT
#include "engine/calibration/search.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace canebrake::calibration
{

namespace
{

using Blown = std::pair<Blowing, Trial>;

class LineSearch
{
public:
    explicit LineSearch(const BlownNote& note) : note_(note), written_(note.fingering().written.number) {}

    Line find()
    {
        if (note_.fingering().register_number >= 3)
            find_tract();
        find_ff();
        for (std::size_t rung = 8; rung-- > 0;)
            if (rung >= 6)
                set(rung, loudest(rung));
            else if (rung >= 4)
                find_by_breath(rung);
            else
                find_by_level(rung);
        open_lip();
        return line_;
    }

private:
    // Lip: a little looser when loud; the top of the clarion drops out with a loose lip (voice stays at or
    // under 0.25).
    double zeta(std::size_t rung) const
    {
        return written_ >= 81 ? 0.225 : 0.26 + (written_ >= 71 ? 0.0 : 0.004 * (int(rung) - 4));
    }
    static double closing_pa(std::size_t rung) { return 4000.0 + 3000.0 * int(rung) / 7.0; }

    Blown blown(std::size_t rung, double gamma, double start) const
    {
        Blowing b;
        b.gamma = gamma;
        b.start_gamma = std::max(start, gamma);
        b.start_hold_s = written_ >= 71 ? 0.07 : 0.02;
        b.zeta = zeta(rung);
        b.closing_pa = closing_pa(rung);
        b.tract_ratio = tract_ratio_;
        b.tract_zc = tract_zc_;
        return {b, note_.play(b)};
    }
    void set(std::size_t rung, const Blown& found)
    {
        line_.blowing[rung] = found.first;
        line_.trial[rung] = found.second;
    }
    Blown at(std::size_t rung) const { return {line_.blowing[rung], line_.trial[rung]}; }

    void find_tract();
    void find_ff();
    Blown loudest(std::size_t rung) const;
    void find_by_breath(std::size_t rung);
    void find_by_level(std::size_t rung);
    Blown bisected(std::size_t rung, double wanted_db) const;
    void open_lip();

    const BlownNote& note_;
    int written_;
    Line line_{};
    double tract_ratio_ = 0.0, tract_zc_ = 0.0;
    double loud_ = 0.0; // mouth pressure of ff
    double ff_db_ = 0.0;
};

/// The tract that holds the note best over the dynamics.
void LineSearch::find_tract()
{
    // Above B6 the bore has little to say: only a strong tract and much air hold the note.
    const bool top = written_ >= 96;
    const double more = top ? 0.12 : 0.0, stronger = (top ? 2.2 : 1.0) * note_.tract_share();
    double best = 1e9, best_ratio = 0.0, best_zc = 0.0;
    for (const double ratio : {1.06, 1.09, 1.12, 1.15, 1.18, 1.22, 1.28})
        for (const double zc : {6.0, 9.0, 13.0}) {
            tract_ratio_ = ratio;
            tract_zc_ = zc * stronger;
            double cost = 0.0;
            for (const double gamma : {0.5, 0.56, 0.62, 0.7}) {
                const Trial t = blown(4, gamma + more, 0.6 + more).second;
                cost += t.good ? std::abs(t.cents) : 400.0;
            }
            if (cost < best) {
                best = cost;
                best_ratio = tract_ratio_;
                best_zc = tract_zc_;
            }
        }
    tract_ratio_ = best_ratio;
    tract_zc_ = best_zc;
}

/// The loudest mouth pressure up to 0.72 (at the very top 0.84) that stays in its register. A throat note
/// through the register key is stuffy and jumps a register when forced.
void LineSearch::find_ff()
{
    const Fingering& f = note_.fingering();
    loud_ = f.register_number == 1 && f.vent > 0.0 ? 0.62 : written_ >= 96 ? 0.84 : 0.72;
    for (; loud_ > 0.45; loud_ -= 0.02) {
        const auto [b, trial] = blown(6, loud_, loud_);
        ff_db_ = trial.level_db;
        if (trial.good && note_.sure(b, trial))
            break;
    }
}

/// ff, and fff with a little more where the note bears it.
Blown LineSearch::loudest(std::size_t rung) const
{
    const double gamma = rung == 7 && loud_ >= 0.72 ? loud_ + 0.06 : loud_;
    const Blown trial = blown(rung, gamma, gamma);
    return trial.second.good ? trial : blown(rung, loud_, loud_);
}

/// Where the reed beats, level hardly says how loud: mouth pressure does.
void LineSearch::find_by_breath(std::size_t rung)
{
    for (double gamma = rung == 5 ? 0.61 : 0.54; gamma <= loud_; gamma += 0.02) {
        set(rung, blown(rung, std::min(gamma, loud_), std::min(gamma, loud_)));
        if (line_.trial[rung].good)
            break;
    }
    if (!line_.trial[rung].good)
        set(rung, at(rung + 1));
    prompt_start(line_, rung, note_.player());
}

/// From mf down in even steps to pp; ppp another.
void LineSearch::find_by_level(std::size_t rung)
{
    const double pp_db = ff_db_ - span_db(note_.fingering());
    const double wanted_db = pp_db + (line_.trial[4].level_db - pp_db) * (int(rung) - 1) / 3.0;
    Blown best = bisected(rung, wanted_db);
    // Nothing softer held: as soft as the note allows, which is the step above.
    const double above = line_.blowing[rung + 1].gamma;
    for (const double more : {0.0, 0.04, 0.08, 0.12})
        if (!best.second.good)
            best = blown(rung, above, above + more);
    if (!best.second.good)
        best = at(rung + 1);
    if (note_.fingering().register_number >= 3 &&
        best.second.good) { // a breath over the edge, or it drops on a tired day
        const Blown safe = blown(rung, best.first.gamma + 0.015, best.first.start_gamma + 0.015);
        best = safe.second.good ? safe : best;
    }
    set(rung, best);
    prompt_start(line_, rung, note_.player());
}

/// Breath that gives the level. It starts with what the note needs to speak within 90 ms, and never less than
/// it is then held at.
Blown LineSearch::bisected(std::size_t rung, double wanted_db) const
{
    const Blowing& above = line_.blowing[rung + 1];
    Blown best = blown(rung, above.gamma, above.start_gamma);
    const double start = written_ >= 85 ? 0.58 : written_ >= 71 ? 0.53 : 0.46;
    const auto off = [&](const Blown& b) { return std::abs(b.second.level_db - wanted_db); };
    double low = 0.34, high = above.gamma;
    for (int i = 0; i < 11; ++i) {
        const double gamma = 0.5 * (low + high);
        const Blown trial = blown(rung, gamma, start);
        if (trial.second.good && trial.second.level_db >= wanted_db) {
            best = trial;
            high = gamma;
        } else {
            if (trial.second.good && off(trial) < off(best))
                best = trial;
            low = gamma;
        }
    }
    return best;
}

/// Above ff more breath alone brightens nothing: the lip opens, a little at ff and more at fff, where the
/// note holds.
void LineSearch::open_lip()
{
    constexpr double at_ff = 0.004, at_fff = 0.016; // of embouchure
    const Blowing ff = line_.blowing[6];
    for (const auto& [rung, opening] :
         {std::pair{std::size_t{6}, at_ff}, std::pair{std::size_t{7}, at_fff}}) {
        Blowing b = ff;
        b.zeta += opening;
        b.closing_pa = line_.blowing[rung].closing_pa;
        const Trial trial = note_.play(b);
        if (trial.good && trial.speaking_s < line_.trial[6].speaking_s + 0.03 && note_.sure(b, trial))
            set(rung, {b, trial});
    }
}

} // namespace

Line search_line(const BlownNote& note)
{
    return LineSearch(note).find();
}

std::size_t good_levels(const Line& line)
{
    return std::size_t(
        std::count_if(line.trial.begin(), line.trial.end(), [](const Trial& t) { return t.good; }));
}

} // namespace canebrake::calibration
