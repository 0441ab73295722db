// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/grade.h"

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace canebrake
{

/// Why a place is rough. One spot has one cause; a place may hold several spots.
enum class Cause {
    crossing,      ///< slurred or quick over the break, throat to clarion or back
    rocking,       ///< to and fro over the break
    leap,          ///< slurred into another register, and no twelfth: the upper note comes with an accent
    hanging,       ///< a slur down that stays in the upper register
    little_finger, ///< a little finger slides from key to key
    contrary,      ///< fingers against each other in one hand, or hand against hand
    fingers,       ///< too much to move in the time
    colour,        ///< a fingering held whose tone or tuning bears only passing
    trill,
    tremolo,   ///< of two notes
    slide,     ///< a glissando over the break, a slide where pads shut or registers change
    entrance,  ///< soft and high, begun by the tongue
    speech,    ///< a note that speaks late
    throat,    ///< a dull throat note, long or accented, beside the clarion
    pitch,     ///< pulls from the tempered pitch further than the lip takes out
    tongue,    ///< strokes faster than the tongue
    breath,    ///< longer than the air lasts
    range,     ///< off the instrument
    height,    ///< above the comfortable top
    extension, ///< quick among the keys below written E3
    change,    ///< of instrument, with too little time
    basis,     ///< the part looks as if it stood at another pitch than it says
    reading,   ///< hard to read: remote keys, double accidentals, chromatics misspelt
    endurance, ///< no rest for the lip for too long
    flutter    ///< flutter-tongue high and soft
};

inline constexpr std::size_t cause_count = 25;

/// The word for it in files and on the command line: "crossing", "little-finger", "entrance".
constexpr const char* word(Cause cause) noexcept
{
    constexpr std::array<const char*, cause_count> words{
        "crossing", "rocking", "leap",      "hanging", "little-finger", "contrary",  "fingers",
        "colour",   "trill",   "tremolo",   "slide",   "entrance",      "speech",    "throat",
        "pitch",    "tongue",  "breath",    "range",   "height",        "extension", "change",
        "basis",    "reading", "endurance", "flutter"};
    return words[std::size_t(cause)];
}

} // namespace canebrake
