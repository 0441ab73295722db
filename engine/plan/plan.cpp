// SPDX-License-Identifier: MIT
#include "engine/plan/plan.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <sstream>

namespace canebrake
{

namespace
{

std::set<std::string> words(const std::string& keys)
{
    std::istringstream in(keys);
    std::set<std::string> result;
    for (std::string word; in >> word;)
        result.insert(word);
    return result;
}

/// Fingers that a resonance fingering lays down add nothing to hear or fear while a throat note sounds.
bool lays_down_only(const Fingering& f)
{
    return f.written.number >= 67 && f.written.number <= 70;
}

/// What a fingering costs by itself: an alternate is a habit to leave, and the dearer the further it is out
/// of tune.
double own_cost(const Instrument& instrument, std::size_t index, bool prepares)
{
    const Fingering& f = instrument.fingerings[index];
    if (f.primary)
        return 0.0;
    if (lays_down_only(f))
        return prepares ? 2.0 : 1000.0;
    const double out_of_tune = std::abs(instrument.blowing_at(index, 4.0).cents);
    return (prepares ? 0.8 : 6.0) + 0.06 * std::max(0.0, out_of_tune - 15.0);
}

double move_cost(const Fingering& from, const Fingering& to, bool slurred)
{
    if (from.written == to.written)
        return from.keys == to.keys ? 0.0 : 0.5;
    double moved = fingers_moved(from.keys, to.keys);
    if (lays_down_only(to) && !to.primary) // unhurried fingers, on holes that hardly sound
        moved *= 0.35;
    return slurred ? moved : 0.3 * moved;
}

} // namespace

int fingers_moved(const std::string& from_keys, const std::string& to_keys)
{
    const auto from = words(from_keys), to = words(to_keys);
    std::vector<std::string> moved;
    std::set_symmetric_difference(from.begin(), from.end(), to.begin(), to.end(), std::back_inserter(moved));
    return int(moved.size());
}

std::vector<Choice> plan_fingerings(const Instrument& instrument, const std::vector<WrittenPitch>& written,
                                    const std::vector<bool>& slurred, bool prepares)
{
    struct Step {
        std::size_t fingering;
        double cost;
        std::size_t from; // index into the previous note's steps
    };
    std::vector<std::vector<Step>> steps(written.size());
    for (std::size_t i = 0; i < written.size(); ++i) {
        for (std::size_t f = 0; f < instrument.fingerings.size(); ++f) {
            const auto& fingering = instrument.fingerings[f];
            if (fingering.written != written[i] || fingering.use == FingeringUse::trill)
                continue;
            Step step{f, own_cost(instrument, f, prepares), 0};
            if (i > 0 && !steps[i - 1].empty()) {
                double best = std::numeric_limits<double>::max();
                for (std::size_t k = 0; k < steps[i - 1].size(); ++k) {
                    const auto& before = steps[i - 1][k];
                    const double cost = before.cost + move_cost(instrument.fingerings[before.fingering],
                                                                fingering, slurred[i - 1]);
                    if (cost < best) {
                        best = cost;
                        step.from = k;
                    }
                }
                step.cost += best;
            }
            steps[i].push_back(step);
        }
    }
    std::vector<Choice> result(written.size());
    std::size_t at = 0;
    for (std::size_t i = written.size(); i-- > 0;) {
        if (steps[i].empty())
            continue;
        const bool free = i + 1 == written.size() || steps[i + 1].empty();
        if (free)
            at = std::size_t(std::min_element(steps[i].begin(), steps[i].end(),
                                              [](const Step& a, const Step& b) { return a.cost < b.cost; }) -
                             steps[i].begin());
        result[i].fingering = steps[i][at].fingering;
        at = steps[i][at].from;
    }
    return result;
}

} // namespace canebrake
