// SPDX-License-Identifier: MIT
#pragma once

#include "engine/remedy/ideas.h"

#include <functional>
#include <utility>
#include <vector>

namespace canebrake
{

/// A change of which one line comes, for Idea::play.
inline std::function<std::vector<Line>(const Line&, NoteRange)>
one(std::function<Line(Line, NoteRange)> change)
{
    return [change = std::move(change)](const Line& line, NoteRange place) {
        return std::vector<Line>{change(line, place)};
    };
}

// Parts of `small_ideas`; each appends.

/// Other fingerings of the spot's notes, ten at most.
void fingering_ideas(const Subject&, std::vector<Idea>&);
/// A stroke where a slur is hard.
void tongue_ideas_for_changes(const Subject&, std::vector<Idea>&);
/// Slurs where strokes come too fast.
void tongue_ideas_for_strokes(std::vector<Idea>&);

} // namespace canebrake
