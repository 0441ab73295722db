// SPDX-License-Identifier: MIT
#pragma once

#include "engine/part/casting.h"
#include "engine/part/line_request.h"
#include "engine/plan/trill.h"

#include <map>
#include <string>
#include <vector>

namespace canebrake
{

/// One book for each instrument in use, made when first asked for; all for one kit.
class TrillBooks
{
public:
    explicit TrillBooks(const Kit& kit) : kit_(kit) {}
    TrillBook& of(const std::string& instrument);

private:
    Kit kit_;
    std::map<std::string, TrillBook> books_;
};

/// A part as it will be played: its stretches, each on one instrument, at its pitch, cut, in its tempo, with
/// grace notes and ornaments written out at the pace of the request's player on that instrument.
struct PartToPlay {
    struct Stretch {
        TrillBook* book = nullptr;
        Line line;             ///< starts at quarter 0
        double offset_s = 0.0; ///< where that lies in the whole
    };
    std::vector<Stretch> stretches; ///< neighbours on the same instrument are one
    Line line;                      ///< the whole: names, bars, tempo, remarks
    Casting casting;
};
PartToPlay part_to_play(Line, const LineRequest&, TrillBooks&);

} // namespace canebrake
