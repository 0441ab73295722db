// SPDX-License-Identifier: MIT
#include "engine/spots/rules.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

constexpr double pp_up_to = 1.5, p_up_to = 2.5; // ladder levels that count as pp, as p
constexpr double new_start_s = 0.15;            // silence before a note that makes it an entrance
constexpr int a_third = 3;                      // semitones lower on E-flat and bass
constexpr double mf = 4.0, long_throat_s = 0.4;
constexpr double long_note_s = 0.6;      // pitch of shorter ones nobody judges
constexpr double lip_leaves_cents = 8.0; // so far off, it is worth listening
constexpr int altissimo_from = 85, clarion_from = 71;
constexpr double soft_speech_level = 1.5;
constexpr double shortest_speech_s = 0.25; // a shorter note is over before anybody is sure

/// Lowest written notes at which a soft entrance is awkward and risky.
struct EntranceLimits {
    int awkward, risky;
};

std::optional<EntranceLimits> entrance_limits(double level)
{
    if (level <= pp_up_to)
        return EntranceLimits{84, 85};
    if (level <= p_up_to)
        return EntranceLimits{85, 89};
    return {};
}

bool speaks_a_third_lower(const Instrument& instrument)
{
    return instrument.name == "E-flat" || instrument.name == "D" || instrument.transposition <= -14;
}

std::optional<Spot> entrance(const Performed& p, std::size_t i)
{
    const auto limits = entrance_limits(p.note(i).dynamic);
    if (!limits || p.note(i).dynamic < -0.5)
        return {};
    const int note = p.written(i) + (speaks_a_third_lower(p.instrument()) ? a_third : 0);
    Grade grade = note >= limits->risky     ? Grade::risky
                  : note >= limits->awkward ? Grade::awkward
                                            : Grade::easy;
    if (p.joined_into(i)) {
        if (p.written(i) <= p.written(i - 1))
            return {}; // the breath is there, and the note above has spoken
        grade = harder(grade, -1);
    } else if (p.silence_before(i) < new_start_s && i > 0 && std::abs(p.written(i) - p.written(i - 1)) <= 2) {
        grade = harder(grade, -1); // the air column goes on beneath the tongue
    }
    if (grade == Grade::easy)
        return {};
    Spot spot{Cause::entrance};
    spot.grade = grade;
    spot.from = spot.to = i;
    return spot;
}

std::optional<Spot> height(const Performed& p, std::size_t i)
{
    const Instrument& instrument = p.instrument();
    if (p.note(i).written <= instrument.top_section)
        return {};
    Spot spot{Cause::height};
    spot.grade = p.note(i).written <= instrument.top_professional ? Grade::awkward : Grade::risky;
    spot.from = spot.to = i;
    return spot;
}

bool clarion(const Performed& p, std::size_t i)
{
    return !p.note(i).silent && p.written(i) >= clarion_from && p.written(i) <= clarion_high &&
           p.part.choices[i].fingering.register_number > 1;
}

/// The clarion note next to a throat note, if one follows or goes before without a rest.
std::optional<std::size_t> clarion_beside(const Performed& p, std::size_t i)
{
    if (i > 0 && clarion(p, i - 1) && p.silence_before(i) < new_start_s)
        return i - 1;
    if (i + 1 < p.size() && clarion(p, i + 1) && p.silence_before(i + 1) < new_start_s)
        return i + 1;
    return {};
}

std::optional<Spot> throat(const Performed& p, std::size_t i)
{
    if (!in_throat(p.note(i).written) || p.printed(i).figure)
        return {};
    const bool accented =
        p.printed(i).articulations & (art_accent | art_marcato | art_sforzando | art_forte_piano);
    const bool sustained = p.seconds(i) >= long_throat_s && p.note(i).dynamic >= mf;
    const auto beside = accented || sustained ? clarion_beside(p, i) : std::nullopt;
    if (!beside)
        return {};
    Spot spot{Cause::throat};
    spot.grade = Grade::awkward;
    spot.from = std::min(i, *beside);
    spot.to = std::max(i, *beside);
    return spot;
}

/// What the lip leaves of the instrument's own deviation, as the performance has it.
double cents_left(const Performed& p, std::size_t i)
{
    const Skill who = p.settings.own_skill.value_or(skill(p.settings.player));
    const double natural = p.instrument().blowing_at(p.part.choices[i].blown_as, p.note(i).dynamic).cents;
    return natural - std::clamp(who.correction * natural, -who.correction_limit, who.correction_limit);
}

/// Whether the note has just been there in the same ornament.
bool comes_back(const Performed& p, std::size_t i)
{
    const auto same = [&](std::size_t before) {
        const auto &a = p.printed(before).figure, &b = p.printed(i).figure;
        return a && b && a->group == b->group && p.written(before) == p.written(i);
    };
    return (i >= 1 && same(i - 1)) || (i >= 2 && same(i - 2));
}

} // namespace

void note_rules(const Performed& p, std::vector<Spot>& spots)
{
    const auto to_be_heard = [&](Cause cause, std::size_t i) {
        Spot spot{cause};
        spot.from = spot.to = i;
        spots.push_back(spot);
    };
    for (std::size_t i = 0; i < p.size(); ++i) {
        if (comes_back(p, i))
            continue;
        if (p.note(i).silent) {
            Spot spot{Cause::range, Grade::unplayable, i, i};
            spots.push_back(spot);
            continue;
        }
        if (p.settings.player == Player::ideal)
            continue;
        if (auto spot = height(p, i))
            spots.push_back(*spot);
        const auto soft = entrance(p, i);
        if (soft)
            spots.push_back(*soft);
        if (auto spot = throat(p, i))
            spots.push_back(*spot);
        if (p.printed(i).figure)
            continue;
        const bool own_way = p.part.choices[i].as_asked && !p.part.choices[i].fingering.primary;
        if (p.seconds(i) >= long_note_s && (own_way || std::abs(cents_left(p, i)) >= lip_leaves_cents))
            to_be_heard(Cause::pitch, i);
        const bool late = p.written(i) >= altissimo_from ||
                          (p.note(i).dynamic <= soft_speech_level && p.written(i) >= clarion_from) ||
                          p.instrument().tongue_factor < 1.0;
        if (!soft && late && !p.joined_into(i) && p.seconds(i) >= shortest_speech_s)
            to_be_heard(Cause::speech, i);
    }
}

} // namespace canebrake
