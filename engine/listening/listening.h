// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <optional>
#include <span>
#include <vector>

namespace canebrake
{

// Listening: what can be said of rendered audio from the audio alone.

/// Frequency and level of a harmonic sound against time, one frame a hop.
struct TrackFrame {
    double time_s = 0.0;       ///< centre of the frame
    double frequency_hz = 0.0; ///< 0 where there is no clear pitch
    double clarity = 0.0;      ///< 0…1: height of the normalised autocorrelation at that period
    double level_db = -120.0;  ///< RMS re full scale (a full-scale sine is −3.01)
};

struct TrackOptions {
    double low_hz = 60.0;
    double high_hz = 3000.0;
    double hop_s = 0.004;
    double window_s = 0.030;
};
std::vector<TrackFrame> track(std::span<const float> audio, SampleRate, const TrackOptions& = {});

/// Harmonic amplitudes of a steady stretch.
struct Harmonics {
    double fundamental_hz = 0.0;
    std::vector<double>
        level_db;             ///< H1, H2, … re full scale (amplitude of the sinusoid: full-scale sine 0 dB)
    double centroid_hz = 0.0; ///< amplitude-weighted over harmonics up to 10 kHz (SHARC's definition)
    double noise_db = -120.0; ///< energy outside the harmonics, under 16 kHz, re the harmonics' energy. Goes
                              ///< down to −88 dB; in under ten periods an upper bound only
};
/// `near_hz`: about where the fundamental is (within a quarter-tone); refined by the phases of its harmonics
/// (at the peak of their energy). Of audio over 1 s, the middle second.
Harmonics harmonics(std::span<const float> audio, SampleRate, double near_hz, int count = 40);

/// Frequency of the steady stretch near `near_hz` (within ±150 cents), accurate to 0.5 cent at 0.1 s of
/// audio. 0 if nothing periodic is there. `near_hz` 0: search 60…3000 Hz (octave-safe for odd-harmonic
/// spectra).
double settled_frequency(std::span<const float> audio, SampleRate, double near_hz);

/// What a listener gets of one note. Settled is the last 60 % of it less the last 40 ms (at most its last 3
/// s); 60 ms at least, taken first from those 40 ms, then from before; all of a shorter note.
struct NoteMeasure {
    double settled_hz = 0.0;  ///< 0: never settled on one pitch
    double cents = 0.0;       ///< against `target_hz`
    double level_db = -120.0; ///< RMS of the settled part, re full scale
    double speaking_s =
        0.0; ///< from the note's start until 6 dB under its settled level *and* within 80 cents of its
             ///< settled pitch; the note's whole length if it never does (or later than 3 s)
    double centroid_hz = 0.0;
    bool in_register = false; ///< settled within ±80 cents of the target
};
/// `audio` starts where the note was told to start and ends where it ends.
NoteMeasure measure_note(std::span<const float> audio, SampleRate, double target_hz);

/// What a listener gets of one slur (the new note's level and pitch are those of its settled part, as above;
/// if it never arrives, settle_s is all that is left of the audio): how far the level dips under the softer
/// of the two notes (lowest 12 ms RMS between them, dB, ≥ 0), how long after the change until pitch stays
/// within 50 cents and level within 3 dB of the new note (s), and whether the new note arrived (within 80
/// cents).
struct SlurMeasure {
    double dip_db = 0.0;
    double settle_s = 0.0;
    bool arrived = false;
};
/// `change_s`: when the fingers start to move, from the start of `audio`.
SlurMeasure measure_slur(std::span<const float> audio, SampleRate, double change_s, double from_hz,
                         double to_hz);

} // namespace canebrake
