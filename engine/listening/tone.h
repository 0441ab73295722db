// SPDX-License-Identifier: MIT
#pragma once

#include "engine/listening/listening.h"

#include <array>
#include <optional>
#include <span>

namespace canebrake
{

/// A band of frequencies, `from_hz` included.
struct Band {
    double from_hz = 0.0, to_hz = 0.0;
};

/// Where even harmonics are set against their odd neighbours: below, about and above the cut-off of a
/// clarinet's lattice of open holes, 1.2–1.8 kHz on a soprano (E. Petersen et al., Acta Acustica 4, 2020).
inline constexpr std::array<Band, 3> even_bands{{{0.0, 1200.0}, {1200.0, 2000.0}, {2000.0, 4000.0}}};

constexpr std::size_t tone_harmonics = 16;

/// What a steady stretch is made of. Levels of harmonics are amplitudes re full scale (full-scale sine 0 dB).
struct Tone {
    double fundamental_hz = 0.0; ///< 0: nothing periodic was there, and nothing else is told
    std::array<std::optional<double>, tone_harmonics> harmonic_db{}; ///< H1…H16; empty over half the rate
    std::optional<double> odd_over_even_db{}; ///< mean level of H1, H3, H5 less that of H2, H4
    /// Of each band: how far its even harmonics lie over the mean level of their two neighbours, on the mean.
    /// Empty where no even harmonic lies in it.
    std::array<std::optional<double>, even_bands.size()> even_over_neighbours_db{};
    double fundamental_share_db = 0.0; ///< energy of H1 over that of all harmonics to 10 kHz or to H16, ≤ 0
    double centroid_hz = 0.0;          ///< amplitude-weighted over the harmonics up to 10 kHz
    double noise_db = 0.0;             ///< energy between the harmonics re theirs (Harmonics::noise_db)
    double loudness_lkfs = -120.0;     ///< see loudness_lkfs
};

/// `steady`: 20 ms or more of one pitch; of more than 1 s the middle second is looked at, for the loudness
/// all of it. `near_hz`: where about, within a quarter-tone. Silence, noise or a sample that is no number:
/// fundamental 0.
Tone tone_of(std::span<const float> steady, SampleRate, double near_hz);

/// A note as `measure_note` has it, and the tone of its settled part. If it settled on another pitch than the
/// one asked for, the tone is that of what sounds. If it never settled, or a sample is no number, the tone's
/// fundamental is 0.
struct ToneMeasure {
    NoteMeasure note;
    Tone tone;
};
ToneMeasure measure_tone(std::span<const float> audio, SampleRate, double target_hz);

/// Loudness of one channel by the K-weighting of ITU-R BS.1770, ungated: for a stretch of one note, where
/// there is nothing to gate. LKFS; a full-scale sine of 997 Hz is −3.01. Not under −120; −120 too where a
/// sample is no number.
double loudness_lkfs(std::span<const float> audio, SampleRate);

} // namespace canebrake
