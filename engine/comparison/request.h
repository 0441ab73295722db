// SPDX-License-Identifier: MIT
#pragma once

#include "engine/listening/audio.h"
#include "engine/part/line_request.h"

#include <string>
#include <vector>

namespace canebrake
{

/// What is to be compared, and by whom it is played.
struct ComparisonRequest : LineRequest {
    enum class Kind { tones, line, recordings };
    Kind kind = Kind::tones;
    std::vector<int> notes{};               ///< chromatic numbers, rising; empty: the whole compass
    std::vector<double> levels{};           ///< rungs of the ladder, softest first
    std::vector<std::string> instruments{}; ///< family names; of a line, empty: as the file says
    std::vector<Player> players{};          ///< at least one
};

/// What is left open: pp, mf and ff; of tones the B♭ clarinet; of a line without clarinets the ideal player
/// beside the request's own, else the request's own alone.
void fill_defaults(ComparisonRequest&);

/// A recording to be compared with others of the same line.
struct Recording {
    std::string name; ///< for tables
    std::string file; ///< for messages
    Audio audio;
};

} // namespace canebrake
