// SPDX-License-Identifier: MIT
#pragma once

#include "engine/part/pitch_basis.h"
#include "engine/performance/settings.h"

#include <filesystem>
#include <optional>
#include <string>
#include <utility>

namespace canebrake
{

/// Which line, who plays it, and how. Whoever asks has checked the values; nothing here opens a file.
struct LineRequest {
    std::filesystem::path line{};        ///< the file it came from, for what is told; empty: a typed phrase
    std::optional<std::string> phrase{}; ///< the typed phrase
    std::string part{};                  ///< as `choose_part` takes it; empty: none chosen
    std::optional<std::pair<int, int>> bars{}; ///< first and last printed number
    PitchBasis pitch = PitchBasis::as_file;
    std::optional<double> tempo{}; ///< quarters a minute at the start, 10…400
    std::string instrument{};      ///< what the part is printed for; empty: as it says itself
    std::string on{};              ///< what the player brings; empty: the same
    RenderSettings settings{};
};

} // namespace canebrake
