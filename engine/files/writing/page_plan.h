// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/writing/page_time.h"
#include "engine/files/writing/page_values.h"
#include "engine/line/line.h"

#include <map>
#include <string>
#include <vector>

namespace canebrake::musicxml
{

/// Everything about a line that has to be known before its first bar can be printed.
struct PagePlan {
    PagePlan(const Line&, int first_transposition, std::vector<std::string>& remarks);

    Meter meter_of(std::size_t bar) const;

    PageTime time;
    std::int64_t divisions = 1;                                    ///< of a quarter, enough for every value
    std::vector<std::vector<Piece>> bars;                          ///< what is printed in each
    std::map<std::size_t, std::vector<std::size_t>> before, after; ///< main note → its small ones
    std::vector<bool> slur_start, slur_stop;                       ///< of each note
    std::vector<int> transposition; ///< of the part at each note: sounding minus written
    std::vector<double> micro;      ///< semitones that a note is off its printed pitch besides

private:
    void lay_out_bars(const Line&, std::vector<std::string>& remarks);
    void hang_graces(const Line&, std::vector<std::string>& remarks);
    void find_slurs(const Line&);
    void find_transpositions(const Line&, int first);
};

/// Whether a note is one of the two of a two-note tremolo, its first; the ornament tells the other.
bool rocks(const Note&);

} // namespace canebrake::musicxml
