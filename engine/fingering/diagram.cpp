// SPDX-License-Identifier: MIT
#include "engine/fingering/diagram.h"

#include "engine/telling/finger_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace canebrake
{
namespace
{

constexpr std::size_t margin = 13;  // columns for the names of the lanes
constexpr std::size_t columns = 65; // of the tube

/// The signs of one drawing.
struct Signs {
    const char *closed, *open, *wall;
    const char *corner_top, *corner_foot, *bell_top, *bell_foot;
    const char* beak[lane_count]; ///< two columns each
};
constexpr Signs drawn{"●", "○", "─", "╭", "╰", "╱", "╲", {"╭╯", "│ ", "╰╮"}};
constexpr Signs plain{"@", "o", "-", ".", "'", "/", "\\", {"/ ", "| ", "\\ "}};

Lane lane_of(const Instrument& instrument, std::size_t hole)
{
    const ToneHole& h = instrument.geometry.holes[hole];
    if (h.cover == HoleCover::finger)
        return Lane::fingers;
    return hole == instrument.vent_index || h.name.starts_with("side") ? Lane::side_keys : Lane::pads;
}

std::size_t column(const Instrument& instrument, double x_m)
{
    const double share = std::clamp(x_m / instrument.geometry.length_m(), 0.0, 1.0);
    return std::size_t(std::lround(share * double(columns - 1)));
}

std::string joined(const std::vector<std::string>& cells)
{
    std::string text;
    for (const std::string& cell : cells)
        text += cell;
    return text.substr(0, text.find_last_not_of(' ') + 1);
}

/// The nearest cell that is still empty, looking towards the bell first.
std::size_t free_cell(const std::vector<std::string>& cells, std::size_t wanted)
{
    for (std::size_t away = 0; away < cells.size(); ++away) {
        if (wanted + away < cells.size() && cells[wanted + away] == " ")
            return wanted + away;
        if (wanted >= away && cells[wanted - away] == " ")
            return wanted - away;
    }
    return wanted;
}

std::string wall(const Instrument& instrument, bool top, const Signs& signs)
{
    std::string text(margin - 1, ' ');
    text += top ? signs.corner_top : signs.corner_foot;
    const std::string word = " vent ";
    const std::size_t vent = column(instrument, instrument.geometry.holes[instrument.vent_index].x_m);
    const std::size_t begin = vent - std::min(vent, word.size() / 2);
    for (std::size_t i = 0; i < columns; ++i) {
        if (top && i == begin) {
            text += word;
            i += word.size() - 1;
        } else {
            text += signs.wall;
        }
    }
    return text + (top ? signs.bell_top : signs.bell_foot) + "\n";
}

} // namespace

std::uint32_t open_holes(const Instrument& instrument, const Fingering& f)
{
    return f.holes.open | (f.vent > 0.0 ? 1u << instrument.vent_index : 0u);
}

std::vector<DrawnHole> drawn_holes(const Instrument& instrument, const Fingering& f)
{
    std::vector<DrawnHole> result;
    for (std::size_t h = 0; h < instrument.geometry.holes.size(); ++h) {
        const ToneHole& hole = instrument.geometry.holes[h];
        result.push_back({hole.x_m, hole.radius_m, lane_of(instrument, h),
                          (open_holes(instrument, f) >> h & 1u) != 0, h == instrument.vent_index});
    }
    return result;
}

std::vector<DrawnFinger> drawn_fingers(const Instrument& instrument, const Hands& hands)
{
    static constexpr std::array<char, finger_count> letters{'t', 'i', 'm', 'r', 'l', 'i', 'm', 'r', 'l', 't'};
    std::vector<DrawnFinger> result;
    for (std::size_t bit = 0; bit < key_tokens.size(); ++bit)
        for (std::size_t f = 0; f < finger_count; ++f)
            if (hands.holds[f] >> bit & 1u)
                for (const ToneHole& hole : instrument.geometry.holes)
                    if (hole.name == hole_at(key_tokens[bit]))
                        result.push_back({hole.x_m, is_left(Finger(f)), letters[f]});
    std::stable_sort(result.begin(), result.end(),
                     [](const DrawnFinger& a, const DrawnFinger& b) { return a.x_m < b.x_m; });
    return result;
}

std::string text_diagram(const Instrument& instrument, const Fingering& f, const Hands& hands, bool utf8)
{
    const Signs& signs = utf8 ? drawn : plain;
    std::string text = wall(instrument, true, signs);
    const auto holes = drawn_holes(instrument, f);
    for (std::size_t lane = 0; lane < lane_count; ++lane) {
        std::vector<std::string> cells(columns, " ");
        for (const DrawnHole& hole : holes)
            if (hole.lane == Lane(lane))
                cells[free_cell(cells, column(instrument, hole.x_m))] = hole.open ? signs.open : signs.closed;
        text += fmt::format(" {:<{}}{}{}\n", lane_names[lane], margin - 3, signs.beak[lane], joined(cells));
    }
    text += wall(instrument, false, signs);
    for (const bool left : {true, false}) {
        std::vector<std::string> cells(columns, " ");
        for (const DrawnFinger& finger : drawn_fingers(instrument, hands))
            if (finger.left == left)
                cells[free_cell(cells, column(instrument, finger.x_m))] = finger.letter;
        const std::string line = joined(cells);
        if (!line.empty())
            text += fmt::format(" {:<{}}{}\n", left ? "left hand" : "right hand", margin - 1, line);
    }
    return text;
}

std::string diagram_legend(const Instrument& instrument, bool utf8)
{
    const Signs& signs = utf8 ? drawn : plain;
    return fmt::format(
        "{} closed, {} open; holes to scale along the tube, {:.0f} mm a column. Beneath it the\n"
        "fingers that are down: t thumb, i index, m middle, r ring, l little finger.\n",
        signs.closed, signs.open, 1e3 * instrument.geometry.length_m() / double(columns - 1));
}

} // namespace canebrake
