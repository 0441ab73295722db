// SPDX-License-Identifier: MIT
#include "engine/plan/pace.h"

#include "engine/plan/tongue.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace canebrake
{

namespace
{

constexpr double unhurried = 0.9; // nobody trills at the very limit
constexpr double mock_up_notes_per_s = 12.0;

} // namespace

OrnamentPace pace_of(TrillBook& book, const Kit& kit)
{
    OrnamentPace pace;
    const double skill = kit.level == Player::learner ? 0.75 : 1.0;
    const int transposition = book.chart().instrument().transposition;
    pace.trill_notes_per_s = [&book, kit, skill, transposition](const Note& main, const Ornament& ornament) {
        if (kit.level == Player::ideal)
            return mock_up_notes_per_s;
        const int written = int(std::lround(main.sounding.number)) - transposition;
        const int semitones = std::max(1, std::abs(ornament.semitones));
        const bool goes_down = ornament.kind == OrnamentKind::two_note_tremolo && ornament.semitones < 0;
        const auto& ways = book.ways({goes_down ? written - semitones : written}, semitones);
        return ways.empty() ? mock_up_notes_per_s : unhurried * skill * ways.front().notes_per_s;
    };
    const double factor = book.chart().instrument().tongue_factor;
    if (kit.level != Player::ideal) {
        pace.tongued_per_s = tongue_limits(kit.level, 1.0, 0.0, kit.double_tongue ? 1.0 : 0.0, factor).easy;
        pace.double_tongued_per_s = tongue_limits(kit.level, 1.0, 0.0, 1.0, factor).easy;
        pace.quick_note_s /= skill;
        pace.turn_note_s /= skill;
    }
    return pace;
}

} // namespace canebrake
