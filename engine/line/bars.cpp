// SPDX-License-Identifier: MIT
#include "engine/line/line.h"

#include <algorithm>

namespace canebrake
{

void place_in_bars(Line& line)
{
    std::size_t bar = 0;
    for (Note& note : line.notes) {
        if (line.bars.empty())
            return;
        while (bar + 1 < line.bars.size() && line.bars[bar + 1].start_quarter <= note.start_quarter + 1e-9)
            ++bar;
        const Bar& here = line.bars[bar];
        note.source.bar = here.number;
        note.source.bar_index = int(bar);
        note.source.beat =
            1.0 + std::max(0.0, note.start_quarter - here.start_quarter) * here.beat_type / 4.0;
    }
}

} // namespace canebrake
