// SPDX-License-Identifier: MIT
#include "engine/files/editing/direction_edits.h"

#include "engine/files/musicxml/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <string_view>

namespace canebrake::musicxml
{
namespace
{

using pugi::xml_node;

constexpr double same_level = 0.05, same_tempo = 1e-6;

const char* dynamic_element(double level)
{
    static constexpr std::array<const char*, 8> names{"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"};
    return names[std::size_t(std::clamp(std::lround(level), 0L, 7L))];
}

/// The directions that stand right before a note.
std::vector<xml_node> directions_before(const xml_node& note)
{
    std::vector<xml_node> all;
    for (xml_node before = note.previous_sibling(); before; before = before.previous_sibling()) {
        const std::string_view name = before.name();
        if (name == "note" || name == "backup" || name == "forward")
            break;
        if (name == "direction")
            all.push_back(before);
    }
    return all;
}

/// The dynamics of a direction; null: it has none.
xml_node dynamics_of(const xml_node& direction)
{
    for (const xml_node type : direction.children("direction-type"))
        if (const xml_node dynamics = type.child("dynamics"))
            return dynamics;
    return {};
}

void write_dynamic(EditedTree& tree, const xml_node& note, double level)
{
    for (xml_node direction : directions_before(note))
        if (xml_node dynamics = dynamics_of(direction)) {
            dynamics.remove_children();
            dynamics.append_child(dynamic_element(level));
            if (xml_node sound = direction.child("sound"))
                sound.remove_attribute("dynamics");
            tree.touch(direction);
            return;
        }
    tree.insert_before(note, {R"(<direction placement="below">)", " <direction-type>",
                              fmt::format("  <dynamics><{}/></dynamics>", dynamic_element(level)),
                              " </direction-type>", "</direction>"});
}

bool says_tempo(const xml_node& direction)
{
    if (direction.child("sound").attribute("tempo"))
        return true;
    for (const xml_node type : direction.children("direction-type"))
        if (type.child("metronome"))
            return true;
    return false;
}

std::string short_number(double value)
{
    return fmt::format("{:g}", std::round(value * 10.0) / 10.0);
}

void scale(EditedTree& tree, xml_node direction, double share)
{
    if (xml_node sound = direction.child("sound"); sound.attribute("tempo"))
        sound.attribute("tempo") = short_number(sound.attribute("tempo").as_double() * share).c_str();
    for (const xml_node type : direction.children("direction-type"))
        if (xml_node minute = type.child("metronome").child("per-minute"))
            if (const auto value = first_number(minute.child_value()))
                minute.text().set(short_number(*value * share).c_str());
    tree.touch(direction);
}

/// Every part's content of the bar with this index in the file.
std::vector<xml_node> bars_at(const xml_node& root, int index)
{
    std::vector<xml_node> all;
    if (std::string_view(root.name()) == "score-partwise") {
        for (const xml_node part : root.children("part")) {
            int at = 0;
            for (const xml_node measure : part.children("measure"))
                if (at++ == index)
                    all.push_back(measure);
        }
        return all;
    }
    int at = 0;
    for (const xml_node measure : root.children("measure"))
        if (at++ == index)
            for (const xml_node part : measure.children("part"))
                all.push_back(part);
    return all;
}

/// A bar's place in the file, by one of its notes.
int file_index(const xml_node& root, const xml_node& note)
{
    xml_node measure = note.parent();
    if (std::string_view(root.name()) != "score-partwise")
        measure = measure.parent();
    int index = 0;
    for (xml_node before = measure.previous_sibling("measure"); before;
         before = before.previous_sibling("measure"))
        ++index;
    return index;
}

} // namespace

void set_dynamics(EditedTree& tree, const std::vector<PlacedNote>& notes, const Line& before,
                  const Line& after)
{
    bool off = false; // the level that is in force is not the one that was
    for (const PlacedNote& note : notes) {
        const double old = dynamic_at(before.dynamics, note.quarter);
        const double now = dynamic_at(after.dynamics, note.quarter);
        const bool differs = std::abs(old - now) > same_level;
        const auto marks = directions_before(note.held.first());
        const bool marked = std::any_of(marks.begin(), marks.end(),
                                        [](const xml_node& mark) { return bool(dynamics_of(mark)); });
        if (differs != off || (differs && marked)) {
            if (differs || !marked) // back to what it was: a mark that stands there says it already
                write_dynamic(tree, note.held.first(), now);
            off = differs;
        }
    }
}

bool set_tempo(EditedTree& tree, const std::vector<PlacedNote>& notes, const Line& before, const Line& after)
{
    const TempoMap old(before.tempo), now(after.tempo);
    int last_bar = -1;
    double share = 1.0;
    bool anything = false;
    for (const PlacedNote& note : notes) {
        const double here = now.tempo_at(note.quarter) / old.tempo_at(note.quarter);
        const int index = file_index(tree.root(), note.held.first());
        if (index != last_bar && std::abs(here - 1.0) > same_tempo) {
            bool marked = false;
            for (const xml_node bar : bars_at(tree.root(), index))
                for (const xml_node direction : bar.children("direction"))
                    if (says_tempo(direction)) {
                        scale(tree, direction, here);
                        marked = true;
                    }
            if (!marked && std::abs(here - share) > same_tempo)
                tree.insert_before(
                    note.held.first(),
                    {R"(<direction placement="above">)", " <direction-type>",
                     fmt::format(
                         "  <metronome><beat-unit>quarter</beat-unit><per-minute>{}</per-minute></metronome>",
                         short_number(now.tempo_at(note.quarter))),
                     " </direction-type>",
                     fmt::format(R"( <sound tempo="{}"/>)", short_number(now.tempo_at(note.quarter))),
                     "</direction>"});
            anything = true;
        }
        share = here;
        last_bar = index;
    }
    return anything;
}

} // namespace canebrake::musicxml
