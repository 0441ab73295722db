// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/musicxml/written.h"

#include <string>
#include <vector>

namespace canebrake::musicxml
{

// Tempo and dynamics along the written score, bar after bar without repeats; engine/line/passages.h lays them
// out in playing order. `starts` holds each bar's start in quarters and, last, the end.

/// From all parts; always begins at 0. A "rit." without a number slows evenly to 80 %, an "accel." quickens
/// to 115 %, up to the next tempo or the end of the next bar, and says so.
std::vector<TempoPoint> written_tempo(const std::vector<WrittenPart>&, const std::vector<double>& starts,
                                      std::vector<std::string>& remarks);

/// Of one part. A hairpin or "cresc." runs to the next mark if that lies on its way, else one step of the
/// ladder. The file's loudness numbers count only where it has no marks.
std::vector<DynamicPoint> written_dynamics(const WrittenPart&, const std::vector<double>& starts,
                                           std::vector<std::string>& remarks);

/// Key signatures of one part, as printed.
std::vector<KeyPoint> written_keys(const WrittenPart&, const std::vector<double>& starts);

} // namespace canebrake::musicxml
