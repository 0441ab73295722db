// SPDX-License-Identifier: MIT
#include "engine/spots/rules.h"

#include "engine/plan/tongue.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

// What the lip has done since it last rested: seconds, weighed by how loud and high they are. Two pages of
// unbroken playing are felt, four are beyond most lips. Common practice, no source; player and teacher
// decide.
constexpr double lip_awkward_s = 240.0, lip_risky_s = 480.0;
constexpr double lip_rest_s = 2.5;    // a shorter silence is no rest
constexpr double rest_is_worth = 6.0; // seconds of playing that a second of rest makes good

std::vector<TimedNote> timed(const Performed& p)
{
    std::vector<TimedNote> notes = timed_notes(p.line, p.instrument().transposition, p.settings.tempo_scale);
    for (std::size_t i = 0; i < notes.size(); ++i) {
        notes[i].silent = p.note(i).silent;
        if (p.printed(i).grace) // it leads into its note on one stroke
            notes[i].slurred_to_next = true;
    }
    return notes;
}

Kit kit_of(const Performed& p)
{
    Kit kit = p.settings.kit;
    kit.level = p.settings.player;
    return kit;
}

void tongue_rules(const Performed& p, std::vector<Spot>& spots)
{
    const auto notes = timed(p);
    for (const TongueRun& run : tongue_runs(notes, kit_of(p), p.instrument().tongue_factor)) {
        if (run.grade == Grade::easy)
            continue;
        Spot spot{Cause::tongue};
        spot.grade = run.grade;
        spot.from = run.hardest_from;
        spot.to = run.hardest_to;
        spot.pace = Pace{run.strokes_per_s, {run.limits.easy, run.limits.awkward, run.limits.risky}};
        spot.safe_at = run.easy_at;
        for (std::size_t i = run.from + 1; i <= run.to; ++i)
            spot.lost += !p.note(i).tongued && !p.printed(i - 1).slurred_to_next;
        spots.push_back(spot);
    }
}

void breath_rules(const Performed& p, std::vector<Spot>& spots)
{
    for (const AirSpan& span : p.part.breaths.spans) {
        if (span.grade == Grade::easy)
            continue;
        Spot spot{Cause::breath};
        spot.grade = span.grade;
        spot.from = span.from;
        spot.to = span.to;
        spot.pace = Pace{span.seconds, {span.limits.easy_s, span.limits.awkward_s, span.limits.risky_s}};
        // Faster would be safe, and that is nobody's remedy: no tempo is given.
        spots.push_back(spot);
    }
}

void lip_rules(const Performed& p, std::vector<Spot>& spots)
{
    double load = 0.0;
    std::optional<Spot> open;
    std::size_t since = 0;
    const auto close = [&] {
        if (open)
            spots.push_back(*open);
        open.reset();
    };
    for (std::size_t i = 0; i < p.size(); ++i) {
        if (p.note(i).silent)
            continue;
        const double rest = p.silence_before(i);
        if (rest >= lip_rest_s) {
            load = std::max(0.0, load - rest_is_worth * rest);
            if (load == 0.0) {
                close();
                since = i;
            }
        }
        const double loud = std::clamp((p.note(i).dynamic - 4.0) / 2.0, 0.0, 1.0);
        const double high = std::clamp(double(p.written(i) - clarion_high) / 6.0, 0.0, 1.0);
        load += p.seconds(i) * (1.0 + 0.5 * loud + high);
        if (load < lip_awkward_s)
            continue;
        if (!open) {
            open = Spot{Cause::endurance};
            open->from = since;
        }
        open->to = i;
        open->grade = load < lip_risky_s ? worst(open->grade, Grade::awkward) : Grade::risky;
        open->pace = Pace{load, {lip_awkward_s, lip_risky_s, Pace::unlimited}};
    }
    close();
}

} // namespace

void air_rules(const Performed& p, std::vector<Spot>& spots)
{
    if (p.settings.player == Player::ideal)
        return;
    tongue_rules(p, spots);
    breath_rules(p, spots);
    lip_rules(p, spots);
}

} // namespace canebrake
