// SPDX-License-Identifier: MIT
#pragma once

#include "engine/spots/ear.h"

#include <nlohmann/json.hpp>

#include <cmath>
#include <optional>
#include <string>

namespace canebrake
{

// Values as our JSON has them: rounded, `null` for what is not known.

inline double rounded(double value, double steps_per_unit)
{
    return std::round(value * steps_per_unit) / steps_per_unit + 0.0; // never "-0.0"
}

inline nlohmann::ordered_json number_or_null(const std::optional<double>& value, double steps_per_unit = 10.0)
{
    using Json = nlohmann::ordered_json;
    return value && std::isfinite(*value) ? Json(rounded(*value, steps_per_unit)) : Json();
}

inline nlohmann::ordered_json text_or_null(const std::string& words)
{
    return words.empty() ? nlohmann::ordered_json() : nlohmann::ordered_json(words);
}

/// What was heard at a place (assets/docs/formats.md, spots).
inline nlohmann::ordered_json heard_json(const Heard& h)
{
    return {{"dip_db", number_or_null(h.dip_db)},
            {"settle_ms", number_or_null(h.settle_ms)},
            {"speaking_ms", number_or_null(h.speech_ms)},
            {"cents", number_or_null(h.cents)},
            {"level_change_db", number_or_null(h.jump_db)},
            {"tone_change", number_or_null(h.tone_change, 100.0)},
            {"in_register", h.arrived}};
}

} // namespace canebrake
