// SPDX-License-Identifier: MIT
#include "engine/files/writing/annotate_musicxml.h"

#include "engine/files/musicxml/container.h"
#include "engine/files/musicxml/text.h"
#include "engine/files/writing/musicxml_pack.h"
#include "engine/files/writing/note_places.h"
#include "engine/files/writing/xml_insert.h"
#include "models/units/input_error.h"

#include <set>
#include <tuple>

namespace canebrake
{

namespace
{

using namespace musicxml;
using pugi::xml_node;

constexpr int words_points = 8; // smaller than the usual ten of a direction's words

bool visible(const xml_node& node)
{
    return std::string_view(node.attribute("print-object").value()) != "no";
}

/// What stands in any of the note's notations under `group`, of one of these names.
std::vector<xml_node> marks_of(const xml_node& note, const char* group,
                               const std::set<std::string_view>& names)
{
    std::vector<xml_node> found;
    for (const xml_node notations : note.children("notations"))
        for (const xml_node marks : notations.children(group))
            for (const xml_node mark : marks.children())
                if (names.contains(mark.name()))
                    found.push_back(mark);
    return found;
}

class Annotator
{
public:
    Annotator(const std::string& text, const xml_node& root, const std::string& name, bool only_ascii,
              std::vector<std::string>& remarks)
        : text_(text), name_(name), only_ascii_(only_ascii), remarks_(remarks), places_(root),
          insertions_(text)
    {
    }

    std::string annotate(const std::vector<Annotation>& annotations)
    {
        std::set<std::string> missing;
        for (const Annotation& each : annotations) {
            if (!done_.insert({each.note, each.kind, each.text}).second)
                continue; // a repeat says it again
            const auto place = places_.find(each.note);
            if (!place) {
                if (missing.insert(each.note).second)
                    remarks_.push_back("no note '" + each.note + "' in the score: nothing said there");
                continue;
            }
            if (places_.stands_twice(each.note))
                remarks_.push_back("two notes are '" + each.note + "' in the score: said at the first");
            put(each, *place);
        }
        return insertions_.apply();
    }

private:
    void put(const Annotation& each, NotePlaces::Place place)
    {
        const std::string text = Insertions::escaped(each.text, only_ascii_);
        if (each.kind != Annotation::breath && text.empty()) {
            remarks_.push_back("found no text for note '" + each.note + "': nothing said there");
            return;
        }
        const xml_node note = places_.node(place);
        if (each.kind == Annotation::words)
            put_words(note, text);
        else if (each.kind == Annotation::fingering)
            put_fingering(note, each, text);
        else
            put_breath(places_.held(place));
    }

    void put_words(xml_node note, const std::string& text)
    {
        while (note.child("chord")) {
            xml_node before = note.previous_sibling();
            while (before && std::string_view(before.name()) != "note")
                before = before.previous_sibling();
            if (!before)
                break;
            note = before;
        }
        for (xml_node before = note.previous_sibling(); before; before = before.previous_sibling()) {
            if (before.type() == pugi::node_element && std::string_view(before.name()) != "direction")
                break;
            for (const xml_node type : before.children("direction-type"))
                for (const xml_node words : type.children("words"))
                    if (Insertions::escaped(words.child_value(), only_ascii_) == text)
                        return;
        }
        std::vector<std::string> lines{R"(<direction placement="below">)", " <direction-type>",
                                       R"(  <words font-style="italic" font-size=")" +
                                           std::to_string(words_points) + "\">" + text + "</words>",
                                       " </direction-type>"};
        for (const char* name : {"voice", "staff"})
            if (const std::string value = Insertions::escaped(note.child_value(name), only_ascii_);
                !value.empty())
                lines.push_back(std::string(" <") + name + ">" + value + "</" + name + ">");
        lines.emplace_back("</direction>");
        insertions_.before(extent(note).start, lines, 0);
    }

    void put_fingering(const xml_node& note, const Annotation& each, const std::string& text)
    {
        const auto have = marks_of(note, "technical", {"fingering"});
        if (have.empty() && fingered_.insert(extent(note).start).second) {
            put_mark(note, "technical", "<fingering>" + text + "</fingering>");
            return;
        }
        if (have.empty() || Insertions::escaped(have.front().child_value(), only_ascii_) != text)
            remarks_.push_back("note '" + each.note + "' has a fingering already: '" + each.text +
                               "' left out");
    }

    void put_breath(const std::vector<xml_node>& held)
    {
        for (const xml_node note : held)
            if (!marks_of(note, "articulations", {"breath-mark", "caesura"}).empty())
                return;
        if (breathed_.insert(extent(held.back()).start).second)
            put_mark(held.back(), "articulations", "<breath-mark/>");
    }

    /// Into the note's own group of marks, else into its notations, else into notations of its own.
    void put_mark(const xml_node& note, const std::string& group, const std::string& mark)
    {
        std::vector<std::string> lines{"<" + group + ">", " " + mark, "</" + group + ">"};
        for (const xml_node notations : note.children("notations")) {
            if (!visible(notations) || extent(notations).empty_tag)
                continue;
            for (const xml_node marks : notations.children(group.c_str()))
                if (!extent(marks).empty_tag) {
                    insertions_.before(extent(marks).end_tag, {mark}, 1);
                    return;
                }
            insertions_.before(extent(notations).end_tag, lines, 1);
            return;
        }
        for (std::string& line : lines)
            line.insert(0, " ");
        lines.insert(lines.begin(), "<notations>");
        lines.emplace_back("</notations>");
        // Behind them only these may follow (MusicXML 4.0, complexType note).
        for (const xml_node child : note.children())
            if (const std::string_view name = child.name();
                name == "lyric" || name == "play" || name == "listen") {
                insertions_.before(extent(child).start, lines, 0);
                return;
            }
        insertions_.before(extent(note).end_tag, lines, 1);
    }

    Extent extent(const xml_node& node) const { return extent_of(text_, node, name_); }

    const std::string& text_;
    const std::string& name_;
    bool only_ascii_;
    std::vector<std::string>& remarks_;
    NotePlaces places_;
    Insertions insertions_;
    std::set<std::tuple<std::string, int, std::string>> done_;
    std::set<std::size_t> fingered_, breathed_; // by where the note stands
};

} // namespace

std::string annotate_musicxml(std::string_view bytes, const std::string& name,
                              const std::vector<Annotation>& annotations, bool compressed,
                              std::vector<std::string>& remarks)
{
    const std::string given = unpack(bytes, name);
    const Encoding encoding = Encoding::of(given);
    const std::string text = encoding.to_utf8(given);
    if (encoding.from_utf8(text) != given)
        throw InputError(name + ": found text that is damaged in its encoding, wanted MusicXML");
    pugi::xml_document document;
    const pugi::xml_parse_result result =
        document.load_buffer(text.data(), text.size(), pugi::parse_default, pugi::encoding_utf8);
    if (!result)
        throw InputError(name + ": found text that is not well-formed XML (" +
                         lower_case(result.description()) + ", character " + std::to_string(result.offset) +
                         "), wanted MusicXML");
    const xml_node root = document.document_element();
    const std::string_view kind = root.name();
    if (kind != "score-partwise" && kind != "score-timewise")
        throw InputError(name + ": found <" + std::string(kind.substr(0, 60)) +
                         ">, wanted a MusicXML score (<score-partwise> or <score-timewise>)");
    const std::string annotated =
        encoding.from_utf8(Annotator(text, root, name, !encoding.holds_all(), remarks).annotate(annotations));
    return compressed ? pack(annotated) : annotated;
}

} // namespace canebrake
