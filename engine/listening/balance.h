// SPDX-License-Identifier: MIT
#pragma once

#include "engine/listening/tone.h"

#include <optional>
#include <span>

namespace canebrake::listening
{

// How the harmonics of one tone stand to each other. `level_db`: H1, H2, … as in `Harmonics`; only such as
// lie under half the sample rate.

/// Mean level of H1, H3, H5 less that of H2, H4, dB; empty with fewer than five.
std::optional<double> odd_over_even(std::span<const double> level_db);

/// How far the even harmonics in the band lie over the mean level of their two neighbours, on the mean, dB.
/// Empty where no even harmonic with both its neighbours lies in it.
std::optional<double> even_over_neighbours(std::span<const double> level_db, double fundamental_hz, Band);

/// Energy of H1 over that of all of them, dB, ≤ 0. `level_db`: not empty.
double fundamental_share(std::span<const double> level_db);

} // namespace canebrake::listening
