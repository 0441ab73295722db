// SPDX-License-Identifier: MIT
#include "engine/fingering/svg.h"
#include "engine/fingering/diagram.h"
#include "engine/telling/finger_words.h"

#include <fmt/format.h>
#include <pugixml.hpp>

#include <algorithm>
#include <cmath>
#include <sstream>

namespace canebrake
{
namespace
{

// Millimetres on paper: as wide as A4 between usual margins.
constexpr double page_width = 180.0, page_margin = 4.0;
constexpr double tube_left = 24.0, tube_width = 148.0;
constexpr double body_radius = 7.6; // of the drawn tube, not to scale
constexpr double lane_height = 4.6; // between the lanes of holes
constexpr double line_height = 4.6, small_line = 3.8;
constexpr double heading_height = 9.0;
constexpr std::size_t line_length = 92, title_length = 76; // characters of text in a line

/// One row of the page: a state of the instrument and what is said of it.
struct Row {
    std::string title;
    std::vector<std::string> lines;
    Fingering fingering;
    Hands hands;
};

std::string number(double value)
{
    std::string text = fmt::format("{:.2f}", value);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.ends_with('.'))
        text.pop_back();
    return text == "-0" ? "0" : text;
}

void set(pugi::xml_node node, const char* name, double value)
{
    node.append_attribute(name) = number(value).c_str();
}

void set(pugi::xml_node node, const char* name, const std::string& value)
{
    node.append_attribute(name) = value.c_str();
}

pugi::xml_node text(pugi::xml_node parent, double x, double y, const std::string& words,
                    const char* anchor = "start")
{
    auto node = parent.append_child("text");
    set(node, "x", x);
    set(node, "y", y);
    if (std::string(anchor) != "start")
        set(node, "text-anchor", std::string(anchor));
    node.append_child(pugi::node_pcdata).set_value(words.c_str());
    return node;
}

void tell(pugi::xml_node parent, const char* element, const std::string& words)
{
    parent.append_child(element).append_child(pugi::node_pcdata).set_value(words.c_str());
}

std::vector<std::string> folded(const std::string& words, std::size_t line_length)
{
    std::vector<std::string> lines;
    std::istringstream in(words);
    for (std::string word; in >> word;)
        if (lines.empty() || lines.back().size() + 1 + word.size() > line_length)
            lines.push_back(word);
        else
            lines.back() += " " + word;
    return lines;
}

double page_x(const Instrument& instrument, double x_m)
{
    return tube_left + tube_width * x_m / instrument.geometry.length_m();
}

/// Radius of the bore where it is straight, metres.
double body_bore(const Instrument& instrument)
{
    return instrument.geometry.radius_at(0.45 * instrument.geometry.length_m());
}

/// Outline of the tube: a beak, a straight body, and the bell's flare to scale.
std::string outline(const Instrument& instrument, double middle)
{
    constexpr double beak_m = 0.075, tip = 2.0;
    const Geometry& geometry = instrument.geometry;
    const double scale = tube_width / geometry.length_m();
    std::vector<std::pair<double, double>> upper{{tube_left, tip}, {page_x(instrument, beak_m), body_radius}};
    for (const BorePoint& corner : geometry.bore)
        if (corner.x_m > 0.6 * geometry.length_m())
            upper.push_back({page_x(instrument, corner.x_m),
                             body_radius + scale * std::max(0.0, corner.radius_m - body_bore(instrument))});
    std::string path;
    for (const auto& [x, y] : upper)
        path += (path.empty() ? "M" : " L") + number(x) + " " + number(middle - y);
    for (auto corner = upper.rbegin(); corner != upper.rend(); ++corner)
        path += " L" + number(corner->first) + " " + number(middle + corner->second);
    return path + " Z";
}

/// Returns how far down it reached.
double draw_tube(pugi::xml_node group, const Instrument& instrument, const Row& row, double top)
{
    const double bell = tube_width / instrument.geometry.length_m() *
                        std::max(0.0, instrument.geometry.bore.back().radius_m - body_bore(instrument));
    const double middle = top + body_radius + bell;
    const double scale = tube_width / instrument.geometry.length_m();
    auto tube = group.append_child("path");
    set(tube, "d", outline(instrument, middle));
    set(tube, "fill", std::string("none"));
    set(tube, "stroke", std::string("#000"));
    set(tube, "stroke-width", 0.35);
    for (std::size_t lane = 0; lane < lane_count; ++lane)
        set(text(group, page_margin, middle + (double(lane) - 1.0) * lane_height + 1.0, lane_names[lane]),
            "class", std::string("small"));
    for (const DrawnHole& hole : drawn_holes(instrument, row.fingering)) {
        const double x = page_x(instrument, hole.x_m);
        auto circle = group.append_child("circle");
        set(circle, "class", std::string(hole.open ? "open" : "closed"));
        set(circle, "cx", x);
        set(circle, "cy", middle + (double(hole.lane) - 1.0) * lane_height);
        set(circle, "r", std::max(0.75, 1.25 * scale * hole.radius_m));
        set(circle, "fill", std::string(hole.open ? "#fff" : "#000"));
        set(circle, "stroke", std::string("#000"));
        set(circle, "stroke-width", 0.3);
        if (hole.vent)
            set(text(group, x, middle - body_radius - 0.8, "vent", "middle"), "class", std::string("small"));
    }
    const double foot = middle + body_radius;
    for (const bool left : {true, false}) {
        const double y = foot + (left ? 3.6 : 7.2);
        set(text(group, page_margin, y, left ? "left hand" : "right hand"), "class", std::string("small"));
        double free_from = 0.0; // letters of neighbours must not touch
        for (const DrawnFinger& finger : drawn_fingers(instrument, row.hands))
            if (finger.left == left) {
                const double x = std::max(page_x(instrument, finger.x_m), free_from);
                text(group, x, y, std::string(1, finger.letter), "middle");
                free_from = x + 2.2;
            }
    }
    return foot + 8.0;
}

std::string figures(const NoteWay& way, const NoteWay& primary)
{
    if (!way.sound.speaks)
        return "held at mf it does not stay on its note in the model";
    std::string words =
        fmt::format("{} cents at mf, {} at pp, {} at ff", cents_in_words(way.sound.cents),
                    cents_in_words(way.sound.soft_cents), cents_in_words(way.sound.loud_cents));
    if (&way != &primary)
        words += fmt::format("; colour against the usual fingering: {}",
                             word(colour_against(way.sound, primary.sound)));
    return words;
}

std::vector<Row> rows_of(const NoteAnswer& answer)
{
    std::vector<Row> rows;
    for (const NoteWay& way : answer.ways)
        rows.push_back({fmt::format("{}. {}", rows.size() + 1, named_use(way.fingering, way.when)),
                        {keys_in_words(way.hands), figures(way, answer.ways.front())},
                        way.fingering,
                        way.hands.front()});
    return rows;
}

std::vector<Row> rows_of(const SlurAnswer& answer)
{
    const SlurWay& usual = answer.usual;
    std::vector<Row> rows;
    rows.push_back({answer.from.written_name,
                    {keys_in_words(usual.from.hands)},
                    usual.from.fingering,
                    usual.from.hands});
    rows.push_back({answer.to.written_name,
                    {keys_in_words(usual.to.hands), fmt::format("slur: {}", trilled_in_words(usual.moves)),
                     fmt::format("easy up to {:.1f} notes a second, awkward up to {:.1f}", usual.speed.easy,
                                 usual.speed.awkward)},
                    usual.to.fingering,
                    usual.to.hands});
    return rows;
}

std::vector<Row> rows_of(const TrillAnswer& answer)
{
    std::vector<Row> rows;
    for (std::size_t i = 0; i < answer.ways.size(); ++i) {
        const TrillWay& way = answer.ways[i];
        rows.push_back({fmt::format("{}. {}", i + 1, answer.lower.written_name),
                        {keys_in_words(way.lower.hands)},
                        way.lower.fingering,
                        way.lower.hands});
        rows.push_back({fmt::format("{}. {}", i + 1, answer.upper.written_name),
                        {trilled_in_words(Transition(way.lower.hands, way.upper.hands)),
                         fmt::format("{}; {} cents; up to {:.0f} notes a second", word(way.grade),
                                     cents_in_words(way.error_cents), way.notes_per_s)},
                        way.upper.fingering,
                        way.upper.hands});
    }
    return rows;
}

std::string title_of(const NoteAnswer& answer)
{
    return fmt::format("{} written, {} sounding", answer.note.written_name, answer.note.sounding_name);
}
std::string title_of(const SlurAnswer& answer)
{
    return fmt::format("{} to {} written, {} to {} sounding", answer.from.written_name,
                       answer.to.written_name, answer.from.sounding_name, answer.to.sounding_name);
}
std::string title_of(const TrillAnswer& answer)
{
    return fmt::format("{} and {} to and fro, written; {} and {} sounding", answer.lower.written_name,
                       answer.upper.written_name, answer.lower.sounding_name, answer.upper.sounding_name);
}

/// What a reader who cannot see the drawing is told, and its letters.
void describe(pugi::xml_node svg, const std::string& title, const std::vector<Row>& rows,
              const Instrument& instrument)
{
    set(svg, "xmlns", std::string("http://www.w3.org/2000/svg"));
    set(svg, "role", std::string("img"));
    set(svg, "aria-labelledby", std::string("title description"));
    auto name = svg.append_child("title");
    set(name, "id", std::string("title"));
    name.append_child(pugi::node_pcdata).set_value(title.c_str());
    auto description = svg.append_child("desc");
    set(description, "id", std::string("description"));
    std::string spoken =
        "The tube from the mouthpiece, left, to the bell, once a row; filled holes are closed.";
    for (const Row& row : rows)
        spoken += " " + row.title + ": " + row.lines.front() +
                  "; open: " + holes_in_words(instrument.geometry, open_holes(instrument, row.fingering)) +
                  ".";
    description.append_child(pugi::node_pcdata).set_value(spoken.c_str());
    tell(svg, "style",
         "text { font-family: sans-serif; font-size: 3.4px; fill: #000 } .small { font-size: 2.7px } "
         ".name { font-weight: bold } .head { font-size: 4.2px; font-weight: bold }");
}

/// Its words, then the tube. Returns where the next one begins.
double draw_row(pugi::xml_node svg, const Instrument& instrument, const Row& row, double y)
{
    auto group = svg.append_child("g");
    set(group, "class", std::string("fingering"));
    tell(group, "title", row.title + ": " + row.lines.front());
    y -= line_height;
    for (const std::string& line : folded(row.title, title_length))
        set(text(group, page_margin, y += line_height, line), "class", std::string("name"));
    for (const std::string& words : row.lines)
        for (const std::string& line : folded(words, line_length))
            text(group, page_margin, y += line_height, line);
    return draw_tube(group, instrument, row, y + 1.5) + line_height + 2.0;
}

double draw_legend(pugi::xml_node svg, double y)
{
    for (const char* line : {"filled: closed; empty: open; holes along the tube to scale",
                             "fingers that are down: t thumb, i index, m middle, r ring, l little finger"}) {
        set(text(svg, page_margin, y, line), "class", std::string("small"));
        y += small_line;
    }
    return y;
}

} // namespace

std::string fingering_svg(const FingeringAnswer& answer, const Instrument& instrument)
{
    const auto rows = std::visit([](const auto& found) { return rows_of(found); }, answer);
    const std::string title =
        std::visit([](const auto& found) { return title_of(found); }, answer) + ", " + instrument.title;

    pugi::xml_document document;
    auto declaration = document.append_child(pugi::node_declaration);
    set(declaration, "version", std::string("1.0"));
    set(declaration, "encoding", std::string("UTF-8"));
    auto svg = document.append_child("svg");
    describe(svg, title, rows, instrument);
    auto paper = svg.append_child("rect"); // its height is known last
    double y = page_margin + 4.0;
    set(text(svg, page_margin, y, title), "class", std::string("head"));
    y += heading_height;
    for (const Row& row : rows)
        y = draw_row(svg, instrument, row, y);
    y = draw_legend(svg, y) + page_margin;
    set(paper, "width", page_width);
    set(paper, "height", y);
    set(paper, "fill", std::string("#fff"));
    set(svg, "width", number(page_width) + "mm");
    set(svg, "height", number(y) + "mm");
    set(svg, "viewBox", "0 0 " + number(page_width) + " " + number(y));

    std::ostringstream out;
    document.save(out, " ");
    return out.str();
}

} // namespace canebrake
