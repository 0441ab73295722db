// SPDX-License-Identifier: MIT
#include "engine/calibration/ladder.h"

#include <algorithm>
#include <cmath>

namespace canebrake::calibration
{

namespace
{

constexpr double near_db = 0.8;       // of the level asked: right
constexpr double least_step_db = 0.5; // to the rung above
constexpr double corrected = 0.75;    // share of a deviation the studio player's lip takes out
constexpr double most_start = 0.85;   // at 1 the reed is shut
constexpr double steady_db = 1.0;     // from its middle to its end
constexpr double least_growth = 1.003;

bool softer(const Line& line, std::size_t rung, const Trial& trial)
{
    return trial.good && trial.level_db < line.trial[rung + 1].level_db - least_step_db;
}

/// Breath that gives the level, at one lip and start: level grows with it.
void find_breath(Line& line, std::size_t rung, double wanted_db, double soon_s, const Play& play, Blowing b)
{
    const double start = b.start_gamma;
    const auto miss = [&](const Trial& t) {
        // 5 ms later than wanted weigh as much as 1 dB, and at most 6 dB: promptness first, within reason.
        return softer(line, rung, t)
                   ? std::abs(t.level_db - wanted_db) + std::clamp(200.0 * (t.speaking_s - soon_s), 0.0, 6.0)
                   : 99.0;
    };
    double low = 0.33, high = std::max(line.blowing[rung + 1].gamma, b.gamma);
    for (int i = 0; i < 11; ++i) {
        b.gamma = 0.5 * (low + high);
        b.start_gamma = std::max(std::min(start, most_start), b.gamma);
        const Trial trial = play(b, 1, 0.0);
        (trial.good && trial.level_db >= wanted_db ? high : low) = b.gamma;
        if (miss(trial) < miss(line.trial[rung])) {
            line.blowing[rung] = b;
            line.trial[rung] = trial;
        }
        if (trial.good && std::abs(trial.level_db - wanted_db) < 0.2)
            break;
    }
}

void hold_rung(Line& line, std::size_t rung, double wanted_db, double soon_s, const Play& straight)
{
    const Blowing before = line.blowing[rung];
    if (line.trial[rung].good)
        soon_s = std::max(soon_s, line.trial[rung].speaking_s);
    // Just over the threshold some cents of lip are some dB: it is played in tune, as it will be.
    const double in_tune = line.trial[rung].good ? -corrected * line.trial[rung].cents : 0.0;
    const Play play = [&](const Blowing& b, std::uint64_t seed, double lip) {
        Trial trial = straight(b, seed, in_tune + lip);
        if (trial.good) { // a soft start is partly luck: the later of two counts
            const Trial second = straight(b, seed + 1, in_tune + lip);
            trial.good =
                second.good && std::max(std::abs(trial.drift_db), std::abs(second.drift_db)) < steady_db;
            trial.speaking_s = std::max(trial.speaking_s, second.speaking_s);
        }
        trial.cents -= in_tune + lip;
        return trial;
    };
    line.trial[rung] = play(before, 1, 0.0);
    const auto right = [&] {
        const Trial& t = line.trial[rung];
        return softer(line, rung, t) && std::abs(t.level_db - wanted_db) < near_db && t.speaking_s <= soon_s;
    };
    if (right())
        return;
    // A tighter lip starts more gently and so goes softer; a longer push helps the start.
    for (const double tighter : {0.0, 0.02, 0.04})
        for (const double push : {0.0, 0.05, 0.1}) {
            Blowing b = before;
            b.zeta -= tighter;
            b.start_gamma += push;
            find_breath(line, rung, wanted_db, soon_s, play, b);
            if (line.trial[rung].speaking_s > soon_s && softer(line, rung, line.trial[rung]))
                prompt_start(line, rung, play);
            if (right())
                return;
        }
}

} // namespace

double span_db(const Fingering& f)
{
    const int written = f.written.number;
    // Through the register key a throat note is stuffy when loud; its soft rungs lie among its neighbours'.
    if (f.register_number == 1 && f.vent > 0.0)
        return 21.0;
    if (written <= 70)
        return 24.0;
    if (written <= 76)
        return 18.5;
    if (written <= 84)
        return 18.0 - 6.0 * (written - 76) / 8.0;
    return std::max(5.0, 10.0 - 0.6 * (written - 84));
}

std::array<double, 8> wanted_levels(const Line& line, const Fingering& f)
{
    std::array<double, 8> wanted;
    for (std::size_t d = 4; d < 8; ++d)
        wanted[d] = line.trial[d].level_db;
    const double pp = line.trial[6].level_db - span_db(f);
    for (std::size_t d = 0; d < 4; ++d)
        wanted[d] = pp + (wanted[4] - pp) * (double(d) - 1.0) / 3.0;
    return wanted;
}

double ladder_error_db(const Line& line, const Fingering& f)
{
    const auto wanted = wanted_levels(line, f);
    double worst = 0.0;
    for (std::size_t d = 0; d < 4; ++d)
        worst = line.trial[d].good && line.trial[d].level_db < line.trial[d + 1].level_db
                    ? std::max(worst, std::abs(line.trial[d].level_db - wanted[d]))
                    : 99.0;
    return worst;
}

void prompt_start(Line& line, std::size_t rung, const Play& play)
{
    // 25 ms of waiting weigh as much as 1 dB.
    const auto cost = [](const Trial& t) { return t.good ? t.overshoot_db + 40.0 * t.speaking_s : 1e9; };
    for (const double start : {0.44, 0.48, 0.52, 0.56, 0.60, 0.66, 0.72})
        for (const double hold : {0.01, 0.025, 0.045, 0.07, 0.10}) {
            if (start < line.blowing[rung].gamma)
                continue;
            Blowing b = line.blowing[rung];
            b.start_gamma = start;
            b.start_hold_s = hold;
            const Trial trial = play(b, 1, 0.0);
            if (cost(trial) < cost(line.trial[rung])) {
                line.blowing[rung] = b;
                line.trial[rung] = trial;
            }
        }
}

void brighten(Line& line, const Play& play)
{
    for (std::size_t d = 5; d < 8; ++d) {
        const auto brighter = [&](const Trial& t) {
            return t.good && t.level_db > line.trial[d - 1].level_db + 0.2 &&
                   t.centroid_hz > least_growth * line.trial[d - 1].centroid_hz;
        };
        if (!line.trial[d].good || !line.trial[d - 1].good || brighter(line.trial[d]))
            continue;
        for (const double looser : {0.004, 0.008, 0.012, 0.016, -0.004, -0.008}) {
            Blowing b = line.blowing[d];
            b.zeta += looser;
            const Trial trial = play(b, 1, 0.0);
            bool sure = brighter(trial) && trial.speaking_s < line.trial[d].speaking_s + 0.01;
            for (std::uint64_t seed = 2; seed <= 5 && sure; ++seed)
                sure = play(b, seed, -corrected * trial.cents + 4.0 * double(seed) - 14.0).good;
            if (sure) {
                line.blowing[d] = b;
                line.trial[d] = trial;
                break;
            }
        }
    }
}

void hold_ladder(Line& line, const Fingering& f, double soon_s, const Play& play)
{
    if (!line.trial[4].good || !line.trial[6].good)
        return;
    auto wanted = wanted_levels(line, f);
    for (const bool again : {false, true}) {
        for (std::size_t d = 4; d-- > 0;)
            hold_rung(line, d, wanted[d], soon_s, play);
        const auto sounds = [&](std::size_t d) { return softer(line, d, line.trial[d]); };
        if (again || (sounds(0) && sounds(1) && sounds(2) && sounds(3)))
            break;
        double softest = line.trial[4].level_db; // the steps share what there is
        for (std::size_t d = 0; d < 4; ++d)
            if (line.trial[d].good)
                softest = std::min(softest, line.trial[d].level_db);
        for (std::size_t d = 0; d < 4; ++d)
            wanted[d] = std::max(wanted[d], softest + double(d) * 0.25 * (wanted[4] - softest));
    }
    for (std::size_t d = 4; d-- > 0;)
        if (!line.trial[d].good) {
            line.blowing[d] = line.blowing[d + 1];
            line.trial[d] = line.trial[d + 1];
        }
}

} // namespace canebrake::calibration
