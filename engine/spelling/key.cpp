// SPDX-License-Identifier: MIT
#include "engine/spelling/key.h"

#include "engine/spelling/fifths.h"

#include <array>
#include <cmath>
#include <cstdlib>

namespace canebrake
{

namespace
{

using Twelve = std::array<double, 12>;

// Mean probe-tone ratings from the tonic up, Krumhansl and Kessler 1982; the figures as they are commonly
// reprinted, the paper itself not seen.
constexpr Twelve major_profile{6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88};
constexpr Twelve minor_profile{6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17};

Twelve by_pitch_class(std::span<const KeyTone> tones)
{
    Twelve sums{};
    for (const KeyTone& tone : tones)
        sums[std::size_t(positive_mod(tone.number, 12))] += tone.quarters;
    return sums;
}

/// Pearson's correlation of the sums with a profile that begins at `tonic`; 0 if the sums are all alike.
double correlation(const Twelve& sums, const Twelve& profile, int tonic)
{
    double mean = 0.0, profile_mean = 0.0;
    for (std::size_t i = 0; i < 12; ++i) {
        mean += sums[i] / 12.0;
        profile_mean += profile[i] / 12.0;
    }
    double cross = 0.0, square = 0.0, profile_square = 0.0;
    for (int i = 0; i < 12; ++i) {
        const double a = sums[std::size_t((i + tonic) % 12)] - mean;
        const double b = profile[std::size_t(i)] - profile_mean;
        cross += a * b;
        square += a * a;
        profile_square += b * b;
    }
    return square > 1e-12 ? cross / std::sqrt(square * profile_square) : 0.0;
}

double correlation(const Twelve& sums, int fifths, bool minor)
{
    const int tonic = positive_mod(7 * (fifths + (minor ? 3 : 0)), 12);
    return correlation(sums, minor ? minor_profile : major_profile, tonic);
}

} // namespace

std::optional<KeyEstimate> estimate_key(std::span<const KeyTone> tones)
{
    const Twelve sums = by_pitch_class(tones);
    KeyEstimate best;
    best.correlation = 0.0;
    double second = -1.0;
    bool found = false;
    for (int fifths = -5; fifths <= 6; ++fifths) {
        const double major = correlation(sums, fifths, false), minor = correlation(sums, fifths, true);
        const double own = std::max(major, minor);
        if (own > best.correlation) {
            second = found ? best.correlation : second;
            best = {fifths, minor > major, own, 0.0};
            found = true;
        } else {
            second = std::max(second, own);
        }
    }
    if (!found)
        return {};
    best.lead = best.correlation - second;
    return best;
}

double key_correlation(std::span<const KeyTone> tones, int fifths, bool minor)
{
    return correlation(by_pitch_class(tones), fifths, minor);
}

int transposed_key(int fifths, int semitones, int lean)
{
    const int key = positive_mod(fifths + 7 * semitones + 5, 12) - 5; // −5 … +6
    if (key != 6)
        return key;
    const int side = lean != 0 ? lean : fifths;
    return side < 0 ? -6 : 6;
}

int key_at(std::span<const KeyPoint> keys, double quarter, int unsaid)
{
    int fifths = unsaid;
    for (const KeyPoint& key : keys) {
        if (key.quarter > quarter + 1e-9)
            break;
        fifths = key.fifths;
    }
    return fifths;
}

std::string signature_words(int fifths)
{
    if (fifths == 0)
        return "no sharps or flats";
    const int count = std::abs(fifths);
    return std::to_string(count) + (fifths > 0 ? " sharp" : " flat") + (count == 1 ? "" : "s");
}

std::string spelled_name(int number, NoteName name)
{
    const auto step = std::size_t(positive_mod(name.step, 7));
    const double octaves = (number - name.alter - natural_semitones[step]) / 12.0;
    const std::string signs(std::size_t(std::abs(name.alter)), name.alter < 0 ? 'b' : '#');
    return std::string(1, step_letters[step]) + signs + std::to_string(int(std::lround(octaves)) - 1);
}

} // namespace canebrake
