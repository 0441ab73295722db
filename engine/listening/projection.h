// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <complex>
#include <span>
#include <vector>

namespace canebrake::listening
{

/// Window shapes (F. J. Harris, "On the use of windows for harmonic analysis with the discrete Fourier
/// transform", Proc. IEEE 66, 1978). The main lobe of `blackman_harris` (4 terms, side lobes −92 dB) reaches
/// 4/duration to each side, that of `hann` 2/duration: choose by how many periods there are.
enum class WindowShape { hann, blackman_harris };
std::vector<double> make_window(WindowShape, std::size_t length);
/// Blackman–Harris when its main lobe fits between neighbouring harmonics, else Hann.
WindowShape window_for(std::size_t length, double frequency_hz, SampleRate);

/// Σ window[n] · audio[n] · e^(−i·k·ω·n) for k = 1 … out.size(); phases are those at the first sample.
void project(std::span<const float> audio, std::span<const double> window, double omega,
             std::span<std::complex<double>> out);

/// Sharpens a fundamental known to a few cents: how far the phase of each of the lowest harmonics turns from
/// one half of the stretch to the other says how far off the guess is. Harmonic k counts with k²·power, the
/// least-variance weight in white noise. Steps from short to long distances, so that no turn is lost.
double sharpen_fundamental(std::span<const float> audio, SampleRate, double guess_hz);

/// Mean square.
double mean_square(std::span<const float> audio);
/// 10 log10, not under −120 dB.
double level_of(double mean_square);

} // namespace canebrake::listening
