// SPDX-License-Identifier: MIT
#pragma once

#include "engine/comparison/request.h"
#include "engine/fingering/question.h"
#include "engine/part/line_request.h"
#include "engine/plan/grade.h"
#include "engine/telling/waived.h"
#include "engine/workbench/taking.h"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// What is asked of a line, in JSON: the fields of the schema canebrake-question.
struct Question : LineRequest {
    enum class Format { musicxml, midi, marked };

    Grade least = Grade::awkward; ///< of spots that are told
    int spot = 0;                 ///< of remedies: one spot's number; 0: all
    std::size_t most = 3;         ///< remedies a spot, 1…12
    std::vector<RemedyNumber> take{};
    std::optional<WaivedList> waived{}; ///< spots that are accepted already
    Format format = Format::musicxml;
    bool for_player = false; ///< of a marked copy
    bool packed = false;     ///< compressed MusicXML
    bool measure = false;    ///< of a sound
};

// Each takes a JSON object; empty text is an empty one. InputError (Fault::usage) naming the field, what was
// found and what was wanted: no JSON, an unknown field, a value of another type or out of its range.

Question question_of(std::string_view json);
/// With a line, or (without one) of held notes.
ComparisonRequest comparison_question_of(std::string_view json, bool of_a_line);
FingeringQuestion fingering_question_of(std::string_view json);
/// nullptr: the whole family.
const FamilyMember* instruments_question_of(std::string_view json);

} // namespace canebrake
