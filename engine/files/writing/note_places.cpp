// SPDX-License-Identifier: MIT
#include "engine/files/writing/note_places.h"

#include "engine/files/musicxml/text.h"

#include <algorithm>
#include <string_view>

namespace canebrake::musicxml
{

namespace
{

using pugi::xml_node;

bool has(const xml_node& node, const char* child, std::string_view type)
{
    for (const xml_node each : node.children(child))
        if (std::string_view(each.attribute("type").value()) == type)
            return true;
    return false;
}

bool has_notation(const xml_node& note, const char* child, std::string_view type)
{
    for (const xml_node notations : note.children("notations"))
        if (has(notations, child, type))
            return true;
    return false;
}

bool ties(const xml_node& note, std::string_view type)
{
    return has(note, "tie", type) || has_notation(note, "tied", type);
}

bool rocks(const xml_node& note, std::string_view type)
{
    for (const xml_node notations : note.children("notations"))
        for (const xml_node ornaments : notations.children("ornaments"))
            if (has(ornaments, "tremolo", type))
                return true;
    return false;
}

std::string pitch_of(const xml_node& note)
{
    const xml_node pitch = note.child("pitch");
    return trimmed(pitch.child_value("step")) + "/" + trimmed(pitch.child_value("alter")) + "/" +
           trimmed(pitch.child_value("octave"));
}

std::string voice_of(const xml_node& note)
{
    const std::string voice = trimmed(note.child_value("voice"));
    return voice.empty() ? "1" : voice;
}

std::string number_of(const xml_node& measure, std::size_t index)
{
    const char* number = measure.attribute("number").value();
    return *number ? number : std::to_string(index + 1);
}

} // namespace

NotePlaces::NotePlaces(const xml_node& root)
{
    std::map<std::string, std::size_t> bars; // of each part so far
    if (std::string_view(root.name()) == "score-partwise") {
        for (const xml_node part : root.children("part"))
            for (const xml_node measure : part.children("measure")) {
                const std::string id = part.attribute("id").value();
                const std::size_t index = bars[id]++;
                add_bar(id, index, measure, number_of(measure, index));
            }
        return;
    }
    std::size_t index = 0;
    for (const xml_node measure : root.children("measure")) {
        for (const xml_node part : measure.children("part"))
            add_bar(part.attribute("id").value(), index, part, number_of(measure, index));
        ++index;
    }
}

std::vector<NotePlaces::Entry>& NotePlaces::entries_of(const std::string& part)
{
    const auto [entry, fresh] = part_index_.try_emplace(part, parts_.size());
    if (fresh)
        parts_.emplace_back();
    return parts_[entry->second];
}

void NotePlaces::add_bar(const std::string& part, std::size_t index, const xml_node& content,
                         const std::string& number)
{
    std::vector<Entry>& entries = entries_of(part);
    int in_bar = 0;
    for (const xml_node note : content.children("note")) {
        ++in_bar;
        const char* own = note.attribute("id").value();
        const std::string id = *own ? own : part + ":m" + number + ":n" + std::to_string(in_bar);
        by_id_.try_emplace(id, Place{part_index_[part], entries.size()});
        ++seen_[id];
        entries.push_back({note, index});
    }
}

std::optional<NotePlaces::Place> NotePlaces::find(const std::string& id) const
{
    const auto found = by_id_.find(id);
    if (found == by_id_.end())
        return {};
    return found->second;
}

bool NotePlaces::stands_twice(const std::string& id) const
{
    const auto found = seen_.find(id);
    return found != seen_.end() && found->second > 1;
}

xml_node NotePlaces::node(Place place) const
{
    return parts_[place.part][place.note].node;
}

bool NotePlaces::goes_on(const Entry& from, const Entry& to) const
{
    if (rocks(from.node, "start"))
        return rocks(to.node, "stop") && voice_of(from.node) == voice_of(to.node);
    return ties(from.node, "start") && ties(to.node, "stop") && pitch_of(from.node) == pitch_of(to.node);
}

std::vector<xml_node> NotePlaces::held(Place place) const
{
    const std::vector<Entry>& entries = parts_[place.part];
    std::vector<xml_node> all{entries[place.note].node};
    if (entries[place.note].node.child("grace"))
        return all;
    for (std::size_t at = place.note;;) {
        std::size_t next = at + 1;
        // A tie reaches at most into the next bar.
        while (next < entries.size() && entries[next].bar <= entries[at].bar + 1 &&
               !goes_on(entries[at], entries[next]))
            ++next;
        if (next >= entries.size() || entries[next].bar > entries[at].bar + 1)
            return all;
        all.push_back(entries[next].node);
        at = next;
    }
}

} // namespace canebrake::musicxml
