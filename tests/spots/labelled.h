// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/grade.h"
#include "engine/plan/kit.h"

#include <string>
#include <utility>
#include <vector>

namespace canebrake
{

/// A row of labelled.csv (see SOURCES.md beside it).
struct LabelledLine {
    std::string name, instrument, phrase, mark, why;
    Player player = Player::studio;
    Reading reading = Reading::sight;
    std::vector<std::pair<std::string, Grade>> expect{}; ///< cause and the least grade; empty: clean
    std::vector<std::string> allow{};
};
std::vector<LabelledLine> labelled_lines();

/// What the judge says of one line.
struct Verdict {
    std::vector<std::pair<std::string, Grade>> found;
    std::vector<std::string> missed, false_alarms;
};
Verdict verdict_on(const LabelledLine&, bool listen = true);

} // namespace canebrake
