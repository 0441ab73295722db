// SPDX-License-Identifier: MIT
// The short words for a spot: its title, what a player writes over it, what is heard.
#include "engine/telling/names.h"
#include "engine/telling/spot_report.h"

#include <fmt/format.h>

#include <array>
#include <cmath>

namespace canebrake
{

std::string written_name(const Performed& p, std::size_t note)
{
    return spelled(p.printed(note), p.written(note));
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
