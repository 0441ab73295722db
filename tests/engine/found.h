// SPDX-License-Identifier: MIT
#pragma once

// Made-up notes with known starts, and how many of what was told was found.
#include "engine/note_finding/find_notes.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <span>
#include <vector>

namespace canebrake
{

/// A note to be made up: odd harmonics as in a closed tube, 8 ms to rise and to fall.
struct MadeNote {
    double start_s, end_s, hz, amplitude = 0.1;
    double vibrato_cents = 0.0; ///< at 5 Hz, half of the swing
};

inline std::vector<float> made(std::span<const MadeNote> notes, double length_s, double rate = 48000.0)
{
    std::vector<float> audio(std::size_t(length_s * rate), 0.0F);
    for (const MadeNote& note : notes) {
        double phase = 0.0;
        const auto from = std::size_t(note.start_s * rate);
        for (std::size_t n = from; n < std::min(audio.size(), std::size_t(note.end_s * rate)); ++n) {
            const double t = double(n) / rate, turn = 2.0 * std::numbers::pi;
            const double edge = std::min({1.0, (t - note.start_s) / 0.008, (note.end_s - t) / 0.008});
            phase +=
                turn * note.hz / rate * std::exp2(note.vibrato_cents / 1200.0 * std::sin(turn * 5.0 * t));
            double x = 0.0;
            for (int k = 1; k < 12 && k * note.hz < 0.45 * rate; k += 2)
                x += std::sin(k * phase) / k;
            audio[n] += float(note.amplitude * std::max(0.0, edge) * x);
        }
    }
    return audio;
}

/// White noise of some level, RMS re full scale.
inline void add_noise(std::vector<float>& audio, double level_db, std::uint32_t seed = 1)
{
    const double half_width = std::sqrt(3.0) * std::pow(10.0, level_db / 20.0);
    for (float& x : audio) {
        seed = seed * 1664525u + 1013904223u; // Numerical Recipes' generator
        x += float(half_width * (double(seed) / 2147483648.0 - 1.0));
    }
}

struct Told {
    double start_s, hz;
};
struct Tally {
    std::size_t told = 0, found = 0, right = 0;
    double recall() const { return told ? double(right) / double(told) : 1.0; }
    double precision() const { return found ? double(right) / double(found) : 1.0; }
};
/// A found note is right within 50 ms and 50 cents of a told one, each used once.
inline Tally compared(std::span<const Told> told, std::span<const FoundNote> found, double within_s = 0.050,
                      double within_cents = 50.0)
{
    Tally tally{told.size(), found.size(), 0};
    std::vector<bool> used(found.size());
    for (const Told& note : told)
        for (std::size_t i = 0; i < found.size(); ++i)
            if (!used[i] && std::abs(found[i].start_s - note.start_s) <= within_s &&
                std::abs(1200.0 * std::log2(found[i].hz / note.hz)) <= within_cents) {
                used[i] = true;
                ++tally.right;
                break;
            }
    return tally;
}

} // namespace canebrake
