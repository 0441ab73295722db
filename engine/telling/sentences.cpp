// SPDX-License-Identifier: MIT
// One plain sentence for each cause.
#include "engine/telling/intervals.h"
#include "engine/telling/names.h"
#include "engine/telling/sentences_of_change.h"
#include "engine/telling/spot_report.h"

#include <fmt/format.h>

#include <cctype>
#include <cmath>

namespace canebrake
{
namespace
{

std::string capital(std::string text)
{
    if (!text.empty())
        text[0] = char(std::toupper(text[0]));
    return text;
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

std::string of_colour(const Performed& p, const Spot& spot)
{
    return fmt::format(
        "{} is held for {:.1f} s on its {} fingering, which is good in passing; held, its tone or "
        "its pitch stands out",
        written_name(p, spot.from), p.seconds(spot.from), p.part.choices[spot.from].fingering.name);
}

std::string of_pitch(const Performed& p, const Spot& spot)
{
    const double cents = spot.heard.cents.value_or(0.0);
    return fmt::format(
        "{} lies {:.0f} cents {} and is held long enough to be noticed; the lip cannot take all "
        "of it out",
        written_name(p, spot.from), std::abs(cents), cents < 0.0 ? "flat" : "sharp");
}

std::string of_range(const Performed& p, const Spot& spot)
{
    return fmt::format("{} is not on the {} ({} to {}); the rest is judged without it",
                       written_name(p, spot.from), p.instrument().title, written_name(p.instrument().lowest),
                       pitch_name(p.instrument().top_extreme.number));
}

std::string of_height(const Performed& p, const Spot& spot)
{
    const bool section = spot.grade == Grade::awkward;
    return fmt::format(
        "{} lies above {}, {}; ask the player", written_name(p, spot.from),
        pitch_name(section ? p.instrument().top_section.number : p.instrument().top_professional.number),
        section ? "the top of comfort in a section" : "the top for most professionals");
}

std::string of_endurance(const Performed& p, const Spot& spot)
{
    return fmt::format("{:.0f} minutes without a rest for the lip (loud and high playing counts more); the "
                       "player and the teacher decide what is too much",
                       (p.note(spot.to).end_s - p.note(spot.from).start_s) / 60.0);
}

std::string of_flutter(const Performed& p, const Spot& spot)
{
    return fmt::format("Flutter-tongue on {}: it is free up to D5 and chokes {}", written_name(p, spot.from),
                       p.note(spot.from).dynamic < 2.6 ? "where it is high and soft" : "higher up");
}

std::string of_cause(const Performed& p, const Spot& spot)
{
    switch (spot.cause) {
    case Cause::crossing:
    case Cause::leap:
    case Cause::hanging:
    case Cause::little_finger:
    case Cause::contrary:
    case Cause::fingers:
    case Cause::extension:
        return of_change(p, spot);
    case Cause::rocking:
        return of_rocking(p, spot);
    case Cause::colour:
        return of_colour(p, spot);
    case Cause::trill:
    case Cause::tremolo:
        return of_ornament(p, spot);
    case Cause::slide:
        return of_slide(p, spot);
    case Cause::entrance:
        return of_entrance(p, spot);
    case Cause::speech:
        return of_speech(p, spot);
    case Cause::throat:
        return of_throat(p, spot);
    case Cause::pitch:
        return of_pitch(p, spot);
    case Cause::tongue:
        return of_tongue(p, spot);
    case Cause::breath:
        return of_breath(p, spot);
    case Cause::range:
        return of_range(p, spot);
    case Cause::height:
        return of_height(p, spot);
    case Cause::endurance:
        return of_endurance(p, spot);
    case Cause::flutter:
        return of_flutter(p, spot);
    case Cause::change:
    case Cause::basis:
    case Cause::reading:
        break; // told where they are found
    }
    return "";
}

} // namespace

std::string sentence(const Performed& p, const Spot& spot)
{
    return capital(of_cause(p, spot));
}

} // namespace canebrake
