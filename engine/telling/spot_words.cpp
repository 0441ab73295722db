// SPDX-License-Identifier: MIT
// One plain sentence for each cause.
#include "engine/telling/spot_report.h"

#include "engine/telling/names.h"
#include "engine/telling/finger_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace canebrake
{
namespace
{

std::string number_word(std::size_t count)
{
    static constexpr std::array<const char*, 11> words{"no",  "one",   "two",   "three", "four", "five",
                                                       "six", "seven", "eight", "nine",  "ten"};
    return count < words.size() ? words[count] : std::to_string(count);
}

std::string interval(int semitones)
{
    static constexpr std::array<const char*, 13> names{
        "unison",        "semitone",         "whole tone", "minor third", "major third",
        "fourth",        "augmented fourth", "fifth",      "minor sixth", "major sixth",
        "minor seventh", "major seventh",    "octave"};
    const int size = std::abs(semitones);
    if (size <= 12)
        return names[std::size_t(size)];
    if (size == 19)
        return "twelfth";
    const int octaves = size / 12;
    std::string text = octaves == 1 ? "octave" : number_word(std::size_t(octaves)) + " octaves";
    if (size % 12 != 0)
        text += " and a" + std::string(size % 12 == 6 ? "n " : " ") + names[std::size_t(size % 12)];
    return text;
}

/// "a fifth", "an octave", "two octaves and a third".
std::string an_interval(int semitones)
{
    const std::string name = interval(semitones);
    if (std::abs(semitones) >= 24)
        return name;
    return (name[0] == 'o' || name[0] == 'a' ? "an " : "a ") + name;
}

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

/// The low end of a clarinet is a flat, where it is no natural: E♭3, not D♯3.
std::string lowest_name(int number)
{
    const std::string name = pitch_name(number);
    return name.starts_with("D#") ? "Eb" + name.substr(2) : name;
}

std::string capital(std::string text)
{
    if (!text.empty())
        text[0] = char(std::toupper(text[0]));
    return text;
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

std::pair<std::size_t, std::size_t> outer_notes(const Performed& p, const Spot& spot)
{
    std::size_t low = spot.from, high = spot.from;
    for (std::size_t i = spot.from; i <= spot.to; ++i) {
        low = p.written(i) < p.written(low) ? i : low;
        high = p.written(i) > p.written(high) ? i : high;
    }
    return {low, high};
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

std::string of_throat(const Performed& p, const Spot& spot)
{
    const std::size_t throat = in_throat(p.note(spot.from).written) ? spot.from : spot.to;
    const std::size_t other = throat == spot.from ? spot.to : spot.from;
    std::string text =
        fmt::format("{}, a throat note with few fingers down, stands beside {} on the long tube",
                    written_name(p, throat), written_name(p, other));
    const double jump = spot.heard.jump_db.value_or(0.0);
    if (std::abs(jump) >= 1.0)
        text += fmt::format(": it sounds {:.0f} dB {}", std::abs(jump), jump < 0.0 ? "weaker" : "stronger");
    const double tone = spot.heard.tone_change.value_or(1.0);
    if (std::abs(tone - 1.0) >= 0.1)
        text += fmt::format("{}{:.0f} % {}", std::abs(jump) >= 1.0 ? " and " : ": it sounds ",
                            100.0 * std::abs(tone - 1.0), tone > 1.0 ? "brighter and thinner" : "duller");
    return text;
}

std::string of_speech(const Performed& p, const Spot& spot)
{
    if (p.printed(spot.from).figure)
        return fmt::format(
            "{} to {} by the register key alone is easy for the thumb, but the upper note comes "
            "late each time",
            written_name(p, outer_notes(p, spot).first), written_name(p, outer_notes(p, spot).second));
    if (!spot.heard.arrived)
        return fmt::format("{} does not speak in its register within its length", written_name(p, spot.from));
    return fmt::format("{} speaks only after {:.0f} ms", written_name(p, spot.from),
                       spot.heard.speech_ms.value_or(0.0));
}

std::string of_entrance(const Performed& p, const Spot& spot)
{
    std::string text = fmt::format(
        "{} {} at {}: so high and so soft it is not sure to speak", written_name(p, spot.from),
        p.joined_into(spot.from) ? "is slurred into" : "begins", dynamic_name(p.note(spot.from).dynamic));
    if (!spot.heard.arrived)
        text += "; here it does not come in its own register";
    else if (spot.heard.speech_ms && *spot.heard.speech_ms >= 60.0)
        text += fmt::format("; here it takes {:.0f} ms", *spot.heard.speech_ms);
    return text;
}

std::string of_tongue(const Performed& p, const Spot& spot)
{
    const double limit = spot.pace->limits[spot.grade == Grade::awkward ? 0
                                           : spot.grade == Grade::risky ? 1
                                                                        : 2];
    std::string text = fmt::format("{:.1f} strokes a second for {:.1f} s; {} tongue {} {:.1f}",
                                   spot.pace->rate, p.note(spot.to).start_s - p.note(spot.from).start_s,
                                   p.settings.kit.double_tongue ? "the" : "a single",
                                   spot.grade == Grade::awkward ? "is at ease up to"
                                   : spot.grade == Grade::risky ? "is fairly sure up to"
                                                                : "goes no faster than",
                                   limit);
    if (spot.lost > 0)
        text +=
            fmt::format("; here {} of them {} lost", number_word(spot.lost), spot.lost == 1 ? "is" : "are");
    return text;
}

std::string of_breath(const Performed& p, const Spot& spot)
{
    std::string text = fmt::format("{:.0f} s on one breath, which at this dynamic lasts {:.0f} s with ease",
                                   spot.pace->rate, spot.pace->limits[0]);
    for (const AirSpan& span : p.part.breaths.spans)
        if (span.from == spot.from && span.break_after != AirSpan::none && span.break_after + 1 < p.size()) {
            const Source& before = p.printed(span.break_after).source;
            text += fmt::format("; a breath does least harm after {} in bar {}",
                                written_name(p, span.break_after), before.bar);
        }
    return text;
}

} // namespace

std::string written_name(const Performed& p, std::size_t note)
{
    return spelled(p.printed(note), p.written(note));
}

std::string sentence(const Performed& p, const Spot& spot)
{
    std::string text;
    switch (spot.cause) {
    case Cause::crossing:
    case Cause::leap:
    case Cause::hanging:
    case Cause::little_finger:
    case Cause::contrary:
    case Cause::fingers:
    case Cause::extension: {
        text = of_fingers(p, spot);
        const std::string heard = heard_of_change(spot.heard);
        if (!heard.empty())
            text += "; " + heard;
        if (spot.cause == Cause::leap && spot.heard.jump_db.value_or(0.0) >= 4.0)
            text += fmt::format("; the upper note comes {:.0f} dB louder, an accent nobody wrote",
                                *spot.heard.jump_db);
        break;
    }
    case Cause::rocking: {
        const auto [low, high] = outer_notes(p, spot);
        text = fmt::format(
            "To and fro over the break between {} and {}, {:.1f} crossings a second; each shuts or "
            "opens nearly every hole",
            written_name(p, low), written_name(p, high), spot.pace->rate);
        if (const std::string heard = heard_of_change(spot.heard); !heard.empty())
            text += "; " + heard;
        break;
    }
    case Cause::colour:
        text = fmt::format(
            "{} is held for {:.1f} s on its {} fingering, which is good in passing; held, its tone or "
            "its pitch stands out",
            written_name(p, spot.from), p.seconds(spot.from), p.part.choices[spot.from].fingering.name);
        break;
    case Cause::trill:
    case Cause::tremolo:
        text = of_ornament(p, spot);
        break;
    case Cause::slide:
        text = of_slide(p, spot);
        break;
    case Cause::entrance:
        text = of_entrance(p, spot);
        break;
    case Cause::speech:
        text = of_speech(p, spot);
        break;
    case Cause::throat:
        text = of_throat(p, spot);
        break;
    case Cause::pitch: {
        const double cents = spot.heard.cents.value_or(0.0);
        text = fmt::format(
            "{} lies {:.0f} cents {} and is held long enough to be noticed; the lip cannot take all "
            "of it out",
            written_name(p, spot.from), std::abs(cents), cents < 0.0 ? "flat" : "sharp");
        break;
    }
    case Cause::tongue:
        text = of_tongue(p, spot);
        break;
    case Cause::breath:
        text = of_breath(p, spot);
        break;
    case Cause::range:
        text = fmt::format("{} is not on the {} ({} to {}); the rest is judged without it",
                           written_name(p, spot.from), p.instrument().title,
                           lowest_name(p.instrument().lowest.number),
                           pitch_name(p.instrument().top_extreme.number));
        break;
    case Cause::height:
        text = fmt::format("{} lies above {}, {}; ask the player", written_name(p, spot.from),
                           pitch_name(spot.grade == Grade::awkward ? p.instrument().top_section.number
                                                                   : p.instrument().top_professional.number),
                           spot.grade == Grade::awkward ? "the top of comfort in a section"
                                                        : "the top for most professionals");
        break;
    case Cause::endurance:
        text =
            fmt::format("{:.0f} minutes without a rest for the lip (loud and high playing counts more); the "
                        "player and the teacher decide what is too much",
                        (p.note(spot.to).end_s - p.note(spot.from).start_s) / 60.0);
        break;
    case Cause::flutter:
        text =
            fmt::format("Flutter-tongue on {}: it is free up to D5 and chokes {}", written_name(p, spot.from),
                        p.note(spot.from).dynamic < 2.6 ? "where it is high and soft" : "higher up");
        break;
    case Cause::change:
    case Cause::basis:
    case Cause::reading:
        break; // told where they are found
    }
    return capital(text);
}

const char* title(Cause cause)
{
    static constexpr std::array<const char*, cause_count> titles{"over the break",
                                                                 "to and fro over the break",
                                                                 "leap between registers",
                                                                 "leap down that may hang",
                                                                 "little-finger slide",
                                                                 "contrary fingers",
                                                                 "fast fingers",
                                                                 "poor alternate",
                                                                 "trill",
                                                                 "tremolo",
                                                                 "slide",
                                                                 "soft high note",
                                                                 "late speech",
                                                                 "throat note",
                                                                 "pitch",
                                                                 "fast tongue",
                                                                 "long breath",
                                                                 "off the instrument",
                                                                 "high note",
                                                                 "low extension",
                                                                 "change of instrument",
                                                                 "pitch basis",
                                                                 "hard to read",
                                                                 "endurance",
                                                                 "flutter-tongue"};
    return titles[std::size_t(cause)];
}

std::string little_finger_hand(const Performed& p, std::size_t note)
{
    const KeySet held = p.part.choices[note].hands.all();
    if ((held & (key("E:l") | key("F:l") | key("FS:l"))) != 0)
        return "L";
    return (held & (key("E:r") | key("F:r") | key("FS:r"))) != 0 ? "R" : "";
}

std::string player_words(const Performed& p, const Spot& spot)
{
    const auto hand = [&](std::size_t i) { return little_finger_hand(p, i); };
    switch (spot.cause) {
    case Cause::little_finger: {
        const std::string a = hand(spot.from), b = hand(spot.to);
        return a.empty() ? b : b.empty() ? a : a + "-" + b;
    }
    case Cause::crossing:
    case Cause::rocking:
    case Cause::contrary:
    case Cause::fingers:
    case Cause::leap:
    case Cause::hanging:
        for (std::size_t i = spot.from; i <= spot.to; ++i) {
            const std::string& name = p.part.choices[i].fingering.name;
            if (name == "side" || name == "fork" || name == "sliver")
                return name;
        }
        return spot.cause == Cause::crossing || spot.cause == Cause::rocking ? hand(spot.to) : "";
    default:
        return "";
    }
}

std::string heard_in_words(const Heard& h)
{
    constexpr double heard_cents = 5.0, heard_db = 1.0, heard_tone = 0.1; // what an ear notices
    std::vector<std::string> parts;
    if (!h.arrived)
        parts.push_back("not in its register");
    if (h.dip_db)
        parts.push_back(fmt::format("dip {:.0f} dB", *h.dip_db));
    if (h.settle_ms && h.arrived)
        parts.push_back(fmt::format("settles {:.0f} ms", *h.settle_ms));
    if (h.speech_ms && h.arrived)
        parts.push_back(fmt::format("speaks {:.0f} ms", *h.speech_ms));
    if (h.cents && h.arrived && std::abs(*h.cents) >= heard_cents)
        parts.push_back(fmt::format("{:+.0f} cents", *h.cents));
    if (h.jump_db && std::abs(*h.jump_db) >= heard_db)
        parts.push_back(fmt::format("level {:+.0f} dB", *h.jump_db));
    if (h.tone_change && std::abs(*h.tone_change - 1.0) >= heard_tone)
        parts.push_back(*h.tone_change > 1.0
                            ? fmt::format("{:.0f} % brighter", 100.0 * (*h.tone_change - 1.0))
                            : fmt::format("{:.0f} % darker", 100.0 * (1.0 - *h.tone_change)));
    if (parts.empty() && h.cents)
        return "in tune";
    std::string text;
    for (const std::string& part : parts)
        text += (text.empty() ? "" : ", ") + part;
    return text;
}

} // namespace canebrake
