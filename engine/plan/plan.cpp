// SPDX-License-Identifier: MIT
#include "engine/plan/plan.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

namespace canebrake
{

namespace
{

constexpr double break_effort = 3.0;   // thumb, index finger and a new register at once
constexpr double silent_finger = 0.35; // a finger laid down early on a hole that hardly sounds
constexpr double longest_hurry = 3.0;
constexpr int first_altissimo = 85; // written C♯6

bool is_throat(const Fingering& f)
{
    return f.register_number == 1 && f.written.number >= 67;
}

bool crosses_break(const Fingering& a, const Fingering& b)
{
    const auto clarion = [](const Fingering& f) { return f.register_number == 2; };
    return (is_throat(a) && clarion(b)) || (clarion(a) && is_throat(b));
}

/// High notes on the second register of short tubes (thumb off, open): quick to reach, flat, late to speak.
bool overblown_throat(const Fingering& f)
{
    return f.written.number >= first_altissimo && f.register_number == 2;
}

/// Fingers of the right hand, and of the left below the index, do next to nothing to a throat note.
double laid_down(const Candidate& from, const Candidate& to)
{
    double fingers = 0.0;
    for (const Finger f : {Finger::left_middle, Finger::left_ring, Finger::left_little, Finger::right_index,
                           Finger::right_middle, Finger::right_ring, Finger::right_little})
        fingers += from.hands[f] == 0 && to.hands[f] != 0 ? 1.0 : 0.0;
    return fingers;
}

} // namespace

double PlanCosts::note(const Candidate& c, const PlanNote& note) const
{
    const double held = std::clamp((note.seconds - note.rest_s) / 0.4, 0.1, 3.0);
    const double tuning = 0.06 * c.out_of_tune * std::min(1.0, held);
    switch (c.fingering.use) {
    case FingeringUse::primary:
        return c.habit;
    case FingeringUse::resonance:
        return c.habit + tuning + (prepares_ ? 2.0 : 1000.0);
    case FingeringUse::alternate:
        return c.habit + tuning + (prepares_ ? 0.3 + 0.7 * held : 2.0 + 4.0 * held) +
               (note.tongued && c.fingering.written.number >= first_altissimo ? 3.0 : 0.0) +
               (overblown_throat(c.fingering) ? 8.0 * held + (note.tongued ? 6.0 : 0.0) : 0.0);
    case FingeringUse::trill:
        return c.habit + tuning + 22.0 * held + (prepares_ ? 0.0 : 2.0);
    }
    return 0.0;
}

double PlanCosts::move(const Candidate& from, const Candidate& to, const PlanNote& before) const
{
    if (from.fingering.written == to.fingering.written)
        return from.hands == to.hands ? 0.0 : 0.5;
    const Transition t(from.hands, to.hands);
    double effort = t.effort() + (crosses_break(from.fingering, to.fingering) ? break_effort : 0.0);
    if (is_throat(to.fingering) && to.fingering.use == FingeringUse::resonance)
        effort -= (1.0 - silent_finger) * laid_down(from, to);
    const double needed = t.easy_seconds() + (crosses_break(from.fingering, to.fingering) ? 0.03 : 0.0);
    const double hurry = std::min(longest_hurry, needed / std::max(0.02, before.seconds));
    const double joined = before.slurred_to_next ? 1.0 : before.rest_s > 0.15 ? 0.25 : 0.5;
    return joined * effort * (0.6 + hurry * hurry);
}

std::vector<Candidate> ways_of(const Chart& chart, const PlanNote& note)
{
    if (!note.asked_for.empty())
        if (auto asked = chart.asked_for(note.written, note.asked_for); !asked.empty())
            return asked;
    const auto ways = chart.ways(note.written);
    return {ways.begin(), ways.end()};
}

namespace
{

/// The figure's two notes as the trill book has them: by group, lower and upper.
struct Rocking {
    WrittenPitch lower, upper;
    const TrillWay* way = nullptr;
};

std::map<int, Rocking> rocking_figures(TrillBook& book, std::span<const PlanNote> notes)
{
    std::map<int, Rocking> figures;
    for (const PlanNote& note : notes) {
        if (!note.figure)
            continue;
        const auto kind = note.figure->kind;
        if (kind != OrnamentKind::trill && kind != OrnamentKind::mordent &&
            kind != OrnamentKind::inverted_mordent && kind != OrnamentKind::two_note_tremolo)
            continue;
        const auto [at, fresh] =
            figures.try_emplace(note.figure->group, Rocking{note.written, note.written, nullptr});
        at->second.lower = std::min(at->second.lower, note.written);
        at->second.upper = std::max(at->second.upper, note.written);
    }
    for (auto& [group, figure] : figures)
        if (figure.lower < figure.upper)
            if (const auto& ways = book.ways(figure.lower, figure.upper.number - figure.lower.number);
                !ways.empty())
                figure.way = &ways.front();
    return figures;
}

struct Step {
    Candidate way;
    double cost = 0.0;
    std::size_t from = 0; // the way before
};

} // namespace

std::vector<Choice> plan_fingerings(TrillBook& book, std::span<const PlanNote> notes, bool prepares)
{
    const PlanCosts costs(prepares);
    const auto rocking = rocking_figures(book, notes);
    std::vector<std::vector<Step>> steps(notes.size());
    std::vector<Choice> result(notes.size());
    for (std::size_t i = 0; i < notes.size(); ++i) {
        std::vector<Candidate> ways;
        const auto figure = notes[i].figure ? rocking.find(notes[i].figure->group) : rocking.end();
        const TrillWay* trill =
            figure == rocking.end() || !notes[i].asked_for.empty() ? nullptr : figure->second.way;
        if (trill != nullptr && notes[i].written == figure->second.lower)
            ways = {trill->lower};
        else if (trill != nullptr && notes[i].written == figure->second.upper) {
            ways = {trill->upper};
            if (trill->upper.fingering.register_number == trill->lower.fingering.register_number)
                ways.front().blown_as = trill->lower.blown_as; // the breath stays with the note below
            result[i].trill_error_cents = trill->error_cents;
        } else
            ways = ways_of(book.chart(), notes[i]);
        result[i].silent = ways.empty();
        steps[i].reserve(ways.size());
        for (Candidate& way : ways) {
            Step step{std::move(way), 0.0, 0};
            double before = 0.0;
            if (i > 0 && !steps[i - 1].empty()) {
                before = std::numeric_limits<double>::max();
                for (std::size_t k = 0; k < steps[i - 1].size(); ++k) {
                    const double cost =
                        steps[i - 1][k].cost + costs.move(steps[i - 1][k].way, step.way, notes[i - 1]);
                    if (cost < before) {
                        before = cost;
                        step.from = k;
                    }
                }
            }
            step.cost = before + costs.note(step.way, notes[i]);
            steps[i].push_back(std::move(step));
        }
    }
    std::size_t at = 0;
    for (std::size_t i = notes.size(); i-- > 0;) {
        if (steps[i].empty())
            continue;
        if (i + 1 == notes.size() || steps[i + 1].empty())
            at = std::size_t(std::min_element(steps[i].begin(), steps[i].end(),
                                              [](const Step& a, const Step& b) { return a.cost < b.cost; }) -
                             steps[i].begin());
        const Step& step = steps[i][at];
        result[i].fingering = step.way.fingering;
        result[i].hands = step.way.hands;
        result[i].blown_as = step.way.blown_as;
        result[i].as_asked = !notes[i].asked_for.empty();
        at = step.from;
    }
    return result;
}

} // namespace canebrake
