// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/grade.h"
#include "engine/plan/slur_speed.h"
#include "engine/spots/ear.h"

#include <array>
#include <cstddef>
#include <limits>
#include <optional>
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

/// Whether it lies in the change from one fingering to the next, where two notes are heard together.
constexpr bool of_a_change(Cause cause) noexcept
{
    switch (cause) {
    case Cause::crossing:
    case Cause::rocking:
    case Cause::leap:
    case Cause::hanging:
    case Cause::little_finger:
    case Cause::contrary:
    case Cause::fingers:
    case Cause::extension:
        return true;
    default:
        return false;
    }
}

/// Whether practice makes it easier. What lies in lungs, tongue, air column and instrument stays as it is.
constexpr bool of_the_fingers(Cause cause) noexcept
{
    if (of_a_change(cause))
        return true;
    switch (cause) {
    case Cause::colour:
    case Cause::trill:
    case Cause::tremolo:
    case Cause::reading:
        return true;
    default:
        return false;
    }
}

/// How fast something goes against how fast it can: notes, crossings or strokes a second, or the seconds of
/// one breath. Up to the first limit it is easy, then awkward, risky, and beyond the last nobody's; a limit
/// of infinity is never met.
struct Pace {
    static constexpr double unlimited = std::numeric_limits<double>::infinity();
    double rate = 0.0;
    std::array<double, 3> limits{unlimited, unlimited, unlimited};

    Grade grade() const
    {
        return rate <= limits[0]   ? Grade::easy
               : rate <= limits[1] ? Grade::awkward
               : rate <= limits[2] ? Grade::risky
                                   : Grade::unplayable;
    }
    /// So many steps easier: the limits move up.
    void ease(int steps)
    {
        for (; steps > 0; --steps)
            limits = {limits[1], limits[2], unlimited};
    }
};

/// One place, or the same thing in several places. Notes are indices into the line that was judged, whose
/// ornaments are written out.
struct Spot {
    Cause cause{};
    Grade grade = Grade::easy;
    std::size_t from = 0, to = 0; ///< first and last note: the two of a slur, all of a run, or one note
    std::optional<Pace> pace{};   ///< where speed decides
    double safe_at = 0.0;         ///< times its tempo it would be easy; 0: no tempo helps, or it is not fast
    bool at_any_tempo = false;    ///< its notes are as quick at any: grace notes, small notes of ornaments
    SlurLimit limit{};            ///< of a slur
    Heard heard{};                ///< by the player who was asked for
    std::optional<Heard> ideal{}; ///< by the one who does everything a keyboard promises
    std::size_t lost = 0;         ///< tongue: strokes that were left out
    std::optional<Grade> with_lever{}; ///< what it would be with the left A-flat/E-flat lever, if easier
    std::vector<std::size_t> again{};  ///< where else, as `from`; in playing order
};

} // namespace canebrake
