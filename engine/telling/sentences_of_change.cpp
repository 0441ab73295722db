// SPDX-License-Identifier: MIT
#include "engine/telling/sentences_of_change.h"

#include "engine/telling/finger_words.h"
#include "engine/telling/intervals.h"
#include "engine/telling/names.h"
#include "engine/telling/spot_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

/// By finger, with commas: the sentence around it has the semicolons.
std::string fingers_in_words(const Transition& moves)
{
    std::string text = trilled_in_words(moves);
    std::replace(text.begin(), text.end(), ';', ',');
    return text;
}

/// All that moves from one fingering to the next, short: by finger where few do, else counted.
std::string moves_in_short(const Transition& moves)
{
    if (moves.moves().empty())
        return "nothing moves";
    if (moves.moves().size() <= 3)
        return fingers_in_words(moves);
    std::size_t down = 0, up = 0, over = 0;
    for (const FingerMove& move : moves.moves()) {
        if (move.finger == Finger::left_thumb && moves.register_key())
            continue;
        down += move.motion == Motion::presses;
        up += move.motion == Motion::lifts;
        over += move.motion == Motion::rolls || move.motion == Motion::slides;
    }
    std::vector<std::string> parts;
    const auto fingers = [](std::size_t n) { return number_word(n) + (n == 1 ? " finger" : " fingers"); };
    if (down > 0)
        parts.push_back(fingers(down) + (down == 1 ? " goes down" : " go down"));
    if (up > 0)
        parts.push_back((down > 0 ? number_word(up) : fingers(up)) + (up == 1 ? " goes up" : " go up"));
    if (over > 0)
        parts.push_back(number_word(over) + (over == 1 ? " crosses over" : " cross over"));
    if (moves.register_key())
        parts.push_back("the thumb moves on the register key");
    std::string text;
    for (std::size_t i = 0; i < parts.size(); ++i)
        text += (i == 0 ? "" : i + 1 == parts.size() ? " and " : ", ") + parts[i];
    return text + " at once";
}

Transition moves_between(const Performed& p, std::size_t from, std::size_t to)
{
    return {p.part.choices[from].hands, p.part.choices[to].hands};
}

/// What a listener gets of a change, from what was measured.
std::string heard_of_change(const Heard& h)
{
    if (!h.arrived)
        return "the new note does not come in its own register in time";
    if (!h.settle_ms)
        return "";
    const double dip = h.dip_db.value_or(0.0);
    std::string text;
    if (dip >= 3.0)
        text = fmt::format("the sound sinks by {:.0f} dB between the notes", dip);
    if (*h.settle_ms >= 40.0)
        text += fmt::format("{}it takes {:.0f} ms to settle", text.empty() ? "" : " and ", *h.settle_ms);
    if (text.empty())
        text = "the notes are joined all the same, at a cost to the fingers";
    return text;
}

std::string rate_words(const Spot& spot, const char* what)
{
    return spot.pace ? fmt::format("at {:.1f} {} a second", spot.pace->rate, what) : "";
}

/// The change of a spot that moves most, as its two notes.
std::size_t hardest_change(const Performed& p, const Spot& spot)
{
    std::size_t hardest = spot.from;
    double most = -1.0;
    for (std::size_t i = spot.from; i < spot.to; ++i) {
        if (p.note(i).silent || p.note(i + 1).silent)
            continue;
        const double seconds = moves_between(p, i, i + 1).easy_seconds();
        if (seconds > most) {
            most = seconds;
            hardest = i;
        }
    }
    return hardest;
}

std::string of_fingers(const Performed& p, const Spot& spot)
{
    const std::size_t at = hardest_change(p, spot);
    const std::string a = written_name(p, at), b = written_name(p, at + 1);
    const Transition moves = moves_between(p, at, at + 1);
    const std::string speed = rate_words(spot, "notes");
    switch (spot.cause) {
    case Cause::crossing:
        return fmt::format("{} to {} goes over the break {}: {}", a, b, speed, moves_in_short(moves));
    case Cause::leap:
        return fmt::format("{} to {}, {}, changes register {}: {}", a, b,
                           an_interval(p.written(at + 1) - p.written(at)), speed, moves_in_short(moves));
    case Cause::hanging:
        return fmt::format(
            "Down {} from {} to {} {}: the high note tends to hang on before the low one speaks",
            an_interval(p.written(at) - p.written(at + 1)), a, b, speed);
    case Cause::little_finger:
        return fmt::format("{} to {}: {}; what comes before and after leaves no other finger", a, b,
                           moves_in_short(moves));
    case Cause::contrary:
        return fmt::format("{} to {} {}: {}; the fingers go against each other", a, b, speed,
                           moves_in_short(moves));
    case Cause::extension:
        return fmt::format(
            "{} to {} {}: the keys below E3 lie under thumb and little fingers, and differ by maker", a, b,
            speed);
    default:
        return fmt::format("{} to {} {}: {}", a, b, speed, moves_in_short(moves));
    }
}

} // namespace

std::pair<std::size_t, std::size_t> outer_notes(const Performed& p, const Spot& spot)
{
    std::size_t low = spot.from, high = spot.from;
    for (std::size_t i = spot.from; i <= spot.to; ++i) {
        low = p.written(i) < p.written(low) ? i : low;
        high = p.written(i) > p.written(high) ? i : high;
    }
    return {low, high};
}

std::string of_change(const Performed& p, const Spot& spot)
{
    std::string text = of_fingers(p, spot);
    const std::string heard = heard_of_change(spot.heard);
    if (!heard.empty())
        text += "; " + heard;
    if (spot.cause == Cause::leap && spot.heard.jump_db.value_or(0.0) >= 4.0)
        text += fmt::format("; the upper note comes {:.0f} dB louder, an accent nobody wrote",
                            *spot.heard.jump_db);
    return text;
}

std::string of_rocking(const Performed& p, const Spot& spot)
{
    const auto [low, high] = outer_notes(p, spot);
    std::string text =
        fmt::format("To and fro over the break between {} and {}, {:.1f} crossings a second; each shuts or "
                    "opens nearly every hole",
                    written_name(p, low), written_name(p, high), spot.pace->rate);
    if (const std::string heard = heard_of_change(spot.heard); !heard.empty())
        text += "; " + heard;
    return text;
}

std::string of_ornament(const Performed& p, const Spot& spot)
{
    const auto [low, high] = outer_notes(p, spot);
    const auto& ways = p.book.ways(p.note(low).written, p.written(high) - p.written(low));
    if (ways.empty())
        return "This pair has no way on the instrument";
    const TrillWay& way = ways.front();
    const Transition moves(way.lower.hands, way.upper.hands);
    std::string text =
        fmt::format("{} {} to {}, best by: {}", spot.cause == Cause::trill ? "Trill" : "Tremolo",
                    written_name(p, low), written_name(p, high), fingers_in_words(moves));
    if (std::abs(way.error_cents) >= 15.0)
        text += fmt::format("; {} by {:.0f} cents", way.error_cents < 0.0 ? "narrow" : "wide",
                            std::abs(way.error_cents));
    if (spot.pace)
        text += fmt::format("; {:.1f} notes a second, and the fingers do {:.1f}", spot.pace->rate,
                            spot.pace->limits[0]);
    return text;
}

std::string of_slide(const Performed& p, const Spot& spot)
{
    const std::string a = written_name(p, spot.from), b = written_name(p, spot.to);
    const bool slides =
        p.printed(spot.from).figure && p.printed(spot.from).figure->kind == OrnamentKind::slide;
    if (!slides)
        return fmt::format(
            "The run from {} to {} goes over a change of register {}: one step of it is not like "
            "the others",
            a, b, rate_words(spot, "notes"));
    if (spot.grade == Grade::unplayable)
        return fmt::format(
            "A slide from {} to {} would have to shut every hole gradually and change register on "
            "the way; only a run of separate notes is there",
            a, b);
    return fmt::format(
        "A slide from {} to {} passes keys with pads, which cannot be drawn off; it comes in steps", a, b);
}

} // namespace canebrake
