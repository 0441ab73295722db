// SPDX-License-Identifier: MIT
#pragma once

#include <span>
#include <string_view>

namespace canebrake::embedded
{

/// Tables of models/instruments/, as they lie there; `blowing` is empty for an instrument not yet calibrated.
struct Tables {
    std::string_view folder, bore, holes, blowing;
};
extern const std::span<const Tables> instruments;
extern const std::string_view models, fingerings;

} // namespace canebrake::embedded
