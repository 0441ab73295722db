// SPDX-License-Identifier: MIT
#include "engine/files/editing/part_edits.h"

#include "engine/files/editing/note_edits.h"
#include "engine/files/musicxml/text.h"

#include <array>
#include <cstdlib>
#include <map>
#include <string_view>

namespace canebrake::musicxml
{
namespace
{

using pugi::xml_node;

/// Each bar of a part, in the file's order.
std::vector<xml_node> bars_of(const xml_node& root, const std::string& part_id)
{
    std::vector<xml_node> bars;
    const auto is_it = [&](const xml_node& part) { return part_id == part.attribute("id").value(); };
    if (std::string_view(root.name()) == "score-partwise") {
        for (const xml_node part : root.children("part"))
            if (is_it(part))
                for (const xml_node measure : part.children("measure"))
                    bars.push_back(measure);
        return bars;
    }
    for (const xml_node measure : root.children("measure"))
        for (const xml_node part : measure.children("part"))
            if (is_it(part))
                bars.push_back(part);
    return bars;
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

bool has_tempo(const xml_node& bar)
{
    for (const xml_node direction : bar.children("direction"))
        if (says_tempo(direction))
            return true;
    return false;
}

/// The first child of these names, for a new one to stand before it.
xml_node first_of(const xml_node& parent, std::initializer_list<std::string_view> names)
{
    for (const xml_node child : parent.children())
        for (const std::string_view name : names)
            if (name == child.name())
                return child;
    return {};
}

void set_text(EditedTree& tree, xml_node parent, const char* name, const std::string& text)
{
    if (xml_node child = parent.child(name)) {
        child.text().set(text.c_str());
        tree.touch(child);
    }
}

void set_transpose(xml_node attributes, const Transposed& wanted)
{
    xml_node transpose = attributes.child("transpose");
    if (!transpose)
        transpose = add_child(attributes, "transpose",
                              first_of(attributes, {"for-part", "directive", "measure-style"}));
    transpose.remove_children();
    transpose.append_child("diatonic").text().set(wanted.diatonic);
    transpose.append_child("chromatic").text().set(wanted.chromatic);
    if (wanted.octaves != 0)
        transpose.append_child("octave-change").text().set(wanted.octaves);
}

} // namespace

Transposed::Transposed(int semitones)
{
    static constexpr std::array<int, 12> letters{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6};
    octaves = semitones / 12;
    chromatic = semitones % 12;
    diatonic = letters[std::size_t(std::abs(chromatic))] * (chromatic < 0 ? -1 : 1);
}

void keep_only(EditedTree& tree, const std::string& part_id)
{
    const xml_node root = tree.root(), list = root.child("part-list");
    const auto others = [&](const xml_node& parent, const char* name) {
        std::vector<xml_node> all;
        for (const xml_node child : parent.children(name))
            if (part_id != child.attribute("id").value())
                all.push_back(child);
        return all;
    };
    const std::vector<xml_node> gone = others(list, "score-part");
    if (gone.empty())
        return;
    const std::vector<xml_node> bars = bars_of(root, part_id);
    for (std::size_t i = 0; i < bars.size(); ++i) {
        if (has_tempo(bars[i]))
            continue;
        for (const xml_node part : gone) {
            const auto theirs = bars_of(root, part.attribute("id").value());
            if (i >= theirs.size() || !has_tempo(theirs[i]))
                continue;
            for (const xml_node direction : theirs[i].children("direction"))
                if (says_tempo(direction))
                    tree.copy_before(direction,
                                     first_of(bars[i], {"note", "backup", "forward", "direction"}));
            break;
        }
    }
    for (const xml_node part : gone)
        tree.remove(part);
    for (const xml_node group : list.children("part-group"))
        tree.remove(group);
    if (std::string_view(root.name()) == "score-partwise") {
        for (const xml_node part : others(root, "part"))
            tree.remove(part);
        return;
    }
    for (const xml_node measure : root.children("measure"))
        for (const xml_node part : others(measure, "part"))
            tree.remove(part);
}

void set_reader(EditedTree& tree, const std::string& part_id, const NewReader& reader)
{
    for (const xml_node entry : tree.root().child("part-list").children("score-part")) {
        if (part_id != entry.attribute("id").value())
            continue;
        set_text(tree, entry, "part-name", reader.title);
        for (const char* old : {"part-name-display", "part-abbreviation", "part-abbreviation-display"})
            if (const xml_node child = entry.child(old))
                tree.remove(child); // they name the instrument that it was
        for (xml_node instrument : entry.children("score-instrument")) {
            set_text(tree, instrument, "instrument-name", reader.title);
            set_text(tree, instrument, "instrument-sound", reader.sound_id);
        }
        for (xml_node midi : entry.children("midi-instrument"))
            set_text(tree, midi, "midi-program", std::to_string(reader.midi_program + 1));
    }
    bool said = false;
    for (const xml_node bar : bars_of(tree.root(), part_id))
        for (xml_node attributes : bar.children("attributes")) {
            bool changed = false;
            for (xml_node clef : attributes.children("clef"))
                if (trimmed(clef.child_value("sign")) == "F") {
                    clef.child("sign").text().set("G");
                    clef.child("line").text().set(2);
                    changed = true;
                }
            if (!said) {
                set_transpose(attributes, Transposed(reader.transposition));
                said = changed = true;
            } else if (const xml_node transpose = attributes.child("transpose")) {
                tree.remove(transpose);
            }
            if (changed)
                tree.touch(attributes);
        }
}

void set_keys(EditedTree& tree, const std::string& part_id, const std::vector<KeyPoint>& before,
              const std::vector<KeyPoint>& after)
{
    std::map<int, int> becomes;
    for (const KeyPoint& key : before) {
        int fifths = 0;
        for (const KeyPoint& now : after)
            if (now.quarter <= key.quarter + 1e-6)
                fifths = now.fifths;
        becomes.try_emplace(key.fifths, fifths);
    }
    bool first = true;
    for (const xml_node bar : bars_of(tree.root(), part_id))
        for (xml_node attributes : bar.children("attributes")) {
            bool changed = false;
            for (xml_node key : attributes.children("key")) {
                const int old = whole_number(key.child_value("fifths"), 0);
                if (const auto now = becomes.find(old); now != becomes.end() && now->second != old) {
                    key.child("fifths").text().set(now->second);
                    if (xml_node cancel = key.child("cancel"))
                        key.remove_child(cancel);
                    changed = true;
                }
            }
            if (first && !attributes.child("key") && !after.empty() && after.front().fifths != 0) {
                const xml_node follower =
                    first_of(attributes, {"time", "staves", "part-symbol", "instruments", "clef",
                                          "staff-details", "transpose", "directive", "measure-style"});
                add_child(attributes, "key", follower)
                    .append_child("fifths")
                    .text()
                    .set(after.front().fifths);
                changed = true;
            }
            first = false;
            if (changed)
                tree.touch(attributes);
        }
}

} // namespace canebrake::musicxml
