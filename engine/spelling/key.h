// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <optional>
#include <span>
#include <string>

namespace canebrake
{

/// A pitch and how long it lasts.
struct KeyTone {
    int number = 60; ///< chromatic, 60 = C4
    double quarters = 1.0;
};

struct KeyEstimate {
    int fifths = 0;           ///< −5 … +6
    bool minor = false;       ///< of the two keys that share the signature
    double correlation = 0.0; ///< of the tones with the key's profile, −1 … +1
    double lead = 0.0; ///< over the best key of another signature: 0 a toss-up, 0.1 clear, 0.3 beyond doubt
};

/// The key of a stretch: durations summed by pitch class, correlated with the probe-tone profile of each of
/// the 24 keys; the highest correlation wins (C. L. Krumhansl, Cognitive Foundations of Musical Pitch, 1990,
/// chapter 4 from memory, the Krumhansl–Schmuckler method; profiles by C. L. Krumhansl and E. J. Kessler,
/// Psychological Review 89, 1982). Empty: no tones, or all twelve alike.
std::optional<KeyEstimate> estimate_key(std::span<const KeyTone>);

/// Correlation of durations by pitch class with one key's profile.
double key_correlation(std::span<const KeyTone>, int fifths, bool minor);

/// The signature when everything is written `semitones` higher. Of two enharmonic signatures the one with
/// fewer accidentals, so at most six; of six sharps and six flats the side that `lean` tells: above 0 sharps,
/// below 0 flats, and 0 the side the signature was on.
int transposed_key(int fifths, int semitones, int lean = 0);

/// The signature in force; `unsaid` before the first and where there is none.
int key_at(std::span<const KeyPoint>, double quarter, int unsaid = 0);

/// "2 sharps", "1 flat", "no sharps or flats".
std::string signature_words(int fifths);

} // namespace canebrake
