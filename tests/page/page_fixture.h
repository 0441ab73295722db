// SPDX-License-Identifier: MIT
#pragma once

#include "cli/page/compare_page.h"

#include <nlohmann/json.hpp>

#include <string>
#include <vector>

namespace canebrake::test
{

/// A comparison made of sums of sines, whose figures are those it was made from: for the page, not the model.
struct Compared {
    nlohmann::ordered_json comparison;
    std::vector<std::vector<float>> sounds; ///< a side each, at fixture_rate

    std::vector<PageSound> packed() const;
};

constexpr double fixture_rate = 44100.0;
constexpr double clip_s = 1.25, clip_start_s = 0.1, clip_end_s = 1.1;

/// Two sides, written E3 to G6 at pp, mf and ff; the second a semitone lower and duller, without its lowest
/// note, and not in register on its highest at pp. `names` replaces the names of the sides.
Compared tones_fixture(const std::vector<std::string>& names = {"B♭ studio", "A studio"},
                       bool with_sound = true);

/// Three sides, the same line of `notes` notes; the second plays slower, the third leaves out its fourth
/// note. Sound is made only if asked for.
Compared lines_fixture(std::size_t notes, bool with_sound);

} // namespace canebrake::test
