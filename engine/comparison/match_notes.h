// SPDX-License-Identifier: MIT
#pragma once

#include "engine/note_finding/find_notes.h"

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace canebrake
{

/// Which note of one recording is which of another; one that has no partner stands alone.
struct NotePair {
    std::optional<std::size_t> first{}, second{};
};

struct NoteMatch {
    std::vector<NotePair> pairs; ///< in playing order; each note of both in one
    double shift_cents = 0.0;    ///< how far the second lies over the first as a whole
};

/// Sets two recordings of the same line side by side: the cheapest alignment of their pitches (Needleman and
/// Wunsch, 1970), after the constant distance between them (another A4, another key) is taken out. Their
/// tempo does not matter.
NoteMatch match_notes(std::span<const FoundNote> first, std::span<const FoundNote> second);

} // namespace canebrake
