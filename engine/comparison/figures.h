// SPDX-License-Identifier: MIT
#pragma once

#include "engine/listening/tone.h"

#include <array>
#include <optional>
#include <span>

namespace canebrake
{

/// What is compared of a note, and of the mean of several. Empty: nothing was there to measure.
struct ToneFigures {
    std::optional<double> level_db{}, loudness_lkfs{}, cents{}, speaking_ms{}, centroid_hz{},
        odd_over_even_db{}, fundamental_share_db{}, noise_db{};
    std::array<std::optional<double>, even_bands.size()> even_over_neighbours_db{};
};

/// A note that is not in its register has no figures but its level and loudness.
ToneFigures figures_of(const ToneMeasure&);

/// Means over the notes that have the figure; of the centroid the geometric one, since brightness is heard in
/// ratios.
ToneFigures mean_of(std::span<const ToneFigures>);

/// What one note, or the mean of several, has over another.
struct ToneDifference {
    std::size_t notes = 0; ///< how many were compared
    std::optional<double> level_db{}, loudness_lu{}, cents{}, speaking_ms{}, odd_over_even_db{},
        fundamental_share_db{};
    std::optional<double> centroid_ratio{}; ///< 1: as bright
};
ToneDifference difference(const ToneFigures& of, const ToneFigures& against);

/// Note by note, and then the mean: only notes that both have count. Both of one size.
ToneDifference mean_difference(std::span<const ToneFigures> of, std::span<const ToneFigures> against);

} // namespace canebrake
