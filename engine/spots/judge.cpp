// SPDX-License-Identifier: MIT
#include "engine/spots/judge.h"

#include "engine/spots/listening_plan.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>

namespace canebrake
{
namespace
{

// Where what is heard makes a place rough. Common practice, no source.
constexpr double slow_settling_ms = 150.0, share_of_note = 0.5;
constexpr double share_spoken = 1.0 / 3.0;
constexpr double off_cents = 15.0, far_off_cents = 30.0;
constexpr double heard_jump_db = 2.0, heard_tone = 1.1;

/// The verdict after listening.
Grade heard_grade(const Performed& p, const Spot& spot)
{
    const Heard& h = spot.heard;
    const double note_ms = 1e3 * p.seconds(spot.to);
    const bool low = p.instrument().transposition <= -14;
    switch (spot.cause) {
    case Cause::speech: {
        const double late = late_speech_ms(p.instrument());
        if (!h.arrived)
            return Grade::risky;
        const bool heard_late = h.speech_ms && *h.speech_ms > late && *h.speech_ms > share_spoken * note_ms;
        return worst(spot.grade, heard_late ? Grade::awkward : Grade::easy);
    }
    case Cause::pitch: {
        const double off = h.cents ? std::abs(*h.cents) : 0.0;
        return off >= far_off_cents ? Grade::risky : off >= off_cents ? Grade::awkward : Grade::easy;
    }
    case Cause::throat: {
        const bool differs =
            (h.jump_db && std::abs(*h.jump_db) >= heard_jump_db) ||
            (h.tone_change && (*h.tone_change >= heard_tone || *h.tone_change <= 1.0 / heard_tone));
        return differs ? spot.grade : Grade::easy;
    }
    default:
        if (!of_a_change(spot.cause) || !h.settle_ms)
            return spot.grade;
        // Too short to be sure, soft notes above all, which our clarinets take 90 ms to start (low ones up to
        // 350 ms): the rule alone decides.
        if (note_ms < (low ? 1.2 : 4.0 / 3.0) * late_speech_ms(p.instrument()))
            return spot.grade;
        if (!h.arrived)
            return worst(spot.grade, Grade::risky);
        if (*h.settle_ms > slow_settling_ms && *h.settle_ms > share_of_note * note_ms)
            return worst(spot.grade, Grade::awkward);
        return spot.grade;
    }
}

/// Two spots of one signature are the same thing in two places.
std::string signature(const Performed& p, const Spot& spot)
{
    std::string text = std::string(word(spot.cause)) + ' ' + word(spot.grade);
    const auto add = [&](int number) { text += ' ' + std::to_string(number); };
    switch (spot.cause) {
    case Cause::tongue:
        break; // never one entry a bar
    case Cause::height:
        break;
    case Cause::breath:
    case Cause::endurance:
        add(int(spot.from));
        break;
    case Cause::rocking:
    case Cause::trill:
    case Cause::tremolo: {
        int low = p.written(spot.from), high = low;
        for (std::size_t i = spot.from; i <= spot.to; ++i) {
            low = std::min(low, p.written(i));
            high = std::max(high, p.written(i));
        }
        add(low);
        add(high);
        break;
    }
    case Cause::throat:
        add(in_throat(p.note(spot.from).written) ? p.written(spot.from) : p.written(spot.to));
        break;
    default:
        for (std::size_t i = spot.from; i <= spot.to; ++i)
            add(p.written(i));
        text += p.joined_into(spot.to) ? " slurred" : "";
    }
    return text;
}

/// How much worse one place is than another of the same grade, for which of them is told.
double pressure(const Spot& spot)
{
    double value =
        spot.pace && std::isfinite(spot.pace->limits[0]) ? spot.pace->rate / spot.pace->limits[0] : 0.0;
    value += spot.heard.settle_ms.value_or(0.0) / 1000.0 + (spot.heard.arrived ? 0.0 : 1.0);
    return value + std::abs(spot.heard.cents.value_or(0.0)) / 100.0;
}

std::vector<Spot> merged(const Performed& p, std::vector<Spot> spots)
{
    std::vector<Spot> kinds;
    std::map<std::string, std::size_t> known;
    for (Spot& spot : spots) {
        const auto [at, fresh] = known.try_emplace(signature(p, spot), kinds.size());
        if (fresh) {
            kinds.push_back(std::move(spot));
            continue;
        }
        Spot& kind = kinds[at->second];
        std::vector<std::size_t> places = std::move(kind.again);
        if (pressure(spot) > pressure(kind)) {
            places.insert(places.begin(), kind.from);
            kind = std::move(spot);
        } else {
            places.push_back(spot.from);
        }
        kind.again = std::move(places);
        std::sort(kind.again.begin(), kind.again.end());
    }
    std::stable_sort(kinds.begin(), kinds.end(),
                     [](const Spot& a, const Spot& b) { return a.from < b.from; });
    return kinds;
}

/// Of two causes found in the same change, the milder says nothing new.
void drop_shadows(std::vector<Spot>& spots)
{
    const auto shadows = [](const Spot& big, const Spot& small) {
        const bool of_fingers = small.cause == Cause::fingers || small.cause == Cause::contrary;
        return of_a_change(big.cause) && of_fingers && &big != &small && big.from <= small.from &&
               big.to >= small.to && big.to - big.from > small.to - small.from && big.grade >= small.grade;
    };
    std::vector<Spot> kept;
    for (const Spot& spot : spots)
        if (std::none_of(spots.begin(), spots.end(), [&](const Spot& s) { return shadows(s, spot); }))
            kept.push_back(spot);
    spots = std::move(kept);
}

} // namespace

double safe_share(const Spot& spot, Reading reading)
{
    if (spot.safe_at > 0.0)
        return spot.safe_at;
    if (!spot.pace || spot.at_any_tempo || spot.cause == Cause::breath || spot.cause == Cause::endurance)
        return 0.0;
    const std::size_t step = of_the_fingers(spot.cause) ? std::size_t(reading) : 0;
    const double limit = spot.pace->limits[step];
    return std::isfinite(limit) && spot.pace->rate > limit ? limit / spot.pace->rate : 0.0;
}

std::vector<Spot> judge(const Performed& p, const JudgeOptions& options)
{
    std::vector<Spot> spots;
    finger_rules(p, spots);
    ornament_rules(p, spots);
    air_rules(p, spots);
    note_rules(p, spots);
    if (options.listen)
        listen_to(p, p.part, p.settings, spots, options.threads);
    for (Spot& spot : spots) {
        spot.grade = heard_grade(p, spot);
        if (of_the_fingers(spot.cause))
            spot.grade = harder(spot.grade, -int(p.settings.kit.reading));
    }
    std::erase_if(spots, [](const Spot& spot) { return spot.grade == Grade::easy; });
    std::stable_sort(spots.begin(), spots.end(),
                     [](const Spot& a, const Spot& b) { return a.from < b.from; });
    drop_shadows(spots);
    spots = merged(p, std::move(spots));
    if (options.listen && options.ideal && p.settings.player != Player::ideal) {
        RenderSettings even = p.settings;
        even.player = Player::ideal;
        std::vector<Spot> by_ideal = spots;
        listen_to(p, prepare_part(p.book, p.line, even), even, by_ideal, options.threads);
        for (std::size_t i = 0; i < spots.size(); ++i)
            spots[i].ideal = by_ideal[i].heard;
    }
    for (Spot& spot : spots)
        spot.safe_at = safe_share(spot, p.settings.kit.reading);
    return spots;
}

} // namespace canebrake
