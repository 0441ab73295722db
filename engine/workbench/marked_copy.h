// SPDX-License-Identifier: MIT
#pragma once

#include "engine/workbench/bench.h"

#include <string>
#include <vector>

namespace canebrake
{

/// How a copy with words at its spots is wanted.
struct CopyRequest {
    Grade least = Grade::awkward; ///< what is marked
    bool for_player = false;      ///< hands, fingerings and breaths only; else the reasons
    bool packed = false;          ///< compressed MusicXML
};

/// What was opened, again as MusicXML, with short words at its spots and everything else untouched; of MIDI
/// or a typed phrase, a part for the clarinet that plays it. `report` is of the same request. InputError:
/// (Fault::needs_choice) several parts that are no MusicXML.
std::string marked_copy(const Bench&, const SpotsReport& report, const LineRequest&, const CopyRequest&,
                        std::vector<std::string>& remarks);

} // namespace canebrake
