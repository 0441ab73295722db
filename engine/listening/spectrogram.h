// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <span>
#include <vector>

namespace canebrake
{

/// Spectrum against time, for pictures. `level_db[t][f]`: of a sine there, re full scale (full-scale sine 0
/// dB).
struct Spectrogram {
    std::vector<double> time_s;       ///< centres of the frames
    std::vector<double> frequency_hz; ///< centres of the bands, from 0 up
    std::vector<std::vector<float>> level_db;
};
struct SpectrogramOptions {
    double top_hz = 6000.0;
    double window_s = 0.050; ///< Blackman–Harris: sines 80 Hz apart stand apart, 90 dB down
    int columns = 700;
    int rows = 240;
};
/// Loudest value within each row's band; silence is −200 dB.
Spectrogram spectrogram(std::span<const float> audio, SampleRate, const SpectrogramOptions& = {});

} // namespace canebrake
