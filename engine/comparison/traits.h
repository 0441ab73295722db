// SPDX-License-Identifier: MIT
#pragma once

#include "engine/comparison/figures.h"
#include "engine/comparison/tone_map.h"

#include <string>
#include <vector>

namespace canebrake
{

/// Where a note stands out, for a reader who would rather have a word than a number.
enum class Trait {
    unsettled,   ///< not in its register: cracks, or never settles
    late,        ///< speaks late: `late_speech_ms`, as the judge of rough spots has it
    sharp,       ///< as played
    flat,        ///< as played
    pulls_sharp, ///< the instrument does; lip and tract take most of it out
    pulls_flat,
    dull,    ///< beside its neighbours at the same dynamic
    bright,  ///< beside its neighbours
    thin,    ///< little of its energy is in the fundamental
    weak,    ///< softer than its neighbours at the same dynamic
    strong,  ///< louder than they are
    breathy, ///< the breath is heard beside the tone
};
const char* word(Trait);

/// Limits of the words. Common practice and our ears, no source.
namespace trait_limits
{
constexpr double sharp_cents = 8.0;          ///< off by so much a unison beats
constexpr double pulls_cents = 20.0;         ///< the lip has work
constexpr double thin_share_db = -0.45;      ///< nine tenths of the energy are in the fundamental,
constexpr double thin_from_level = 3.0;      ///< at mp or louder: a pp is always so
constexpr double breathy_db = -30.0;         ///< between the harmonics, re theirs
constexpr double tone_ratio = 1.25;          ///< of the centroid to the neighbours' median
constexpr double level_step_db = 4.0;        ///< of the level to theirs
constexpr int neighbours_within = 5;         ///< semitones to either side
constexpr std::size_t fewest_neighbours = 4; ///< else nobody says dull or weak
} // namespace trait_limits

/// What can be said of a note by itself. `level`: rung of the ladder it was played at, 0 where nobody knows.
/// `late_ms`: from when it counts as late.
std::vector<Trait> traits_of(const ToneMeasure&, double level, double late_ms);

/// The same of every note and dynamic of a map, and how it stands among its neighbours: [note][dynamic].
std::vector<std::vector<std::vector<Trait>>> traits_of(const ToneMap&);

/// A difference in words, the greatest first: "much brighter, a shade softer"; "alike" if nothing is worth a
/// word. From 2 dB, a tenth in centroid (as the judge hears throat notes), 5 cents, 30 ms, 4 dB of odd over
/// even; half of that is "a shade", three times "much".
/// `least` 1 leaves the shades out.
std::vector<std::string> words_of(const ToneDifference&, double least = 0.5);

} // namespace canebrake
