// SPDX-License-Identifier: MIT
#include "engine/files/editing/note_edits.h"

#include <array>
#include <set>
#include <string_view>
#include <utility>

namespace canebrake::musicxml
{
namespace
{

using pugi::xml_node;

constexpr std::array<const char*, 7> steps{"C", "D", "E", "F", "G", "A", "B"};

bool has_elements(const xml_node& node)
{
    for (const xml_node child : node.children())
        if (child.type() == pugi::node_element)
            return true;
    return false;
}

/// A new child before the first of those that must follow it, else at the end.
xml_node add_before(xml_node note, const char* name, const std::set<std::string_view>& followers)
{
    for (const xml_node child : note.children())
        if (followers.contains(child.name()))
            return add_child(note, name, child);
    return add_child(note, name);
}

xml_node notations_of(xml_node note)
{
    for (const xml_node notations : note.children("notations"))
        if (std::string_view(notations.attribute("print-object").value()) != "no")
            return notations;
    return add_before(note, "notations", {"lyric", "play", "listen"});
}

xml_node group_of(xml_node note, const char* group)
{
    xml_node notations = notations_of(note);
    const xml_node found = notations.child(group);
    return found ? found : add_child(notations, group);
}

std::vector<xml_node> marks_of(const xml_node& note, const char* group, const char* name)
{
    std::vector<xml_node> all;
    for (const xml_node notations : note.children("notations"))
        for (const xml_node marks : notations.children(group))
            for (const xml_node mark : marks.children(name))
                all.push_back(mark);
    return all;
}

void remove_all(const std::vector<xml_node>& marks)
{
    for (const xml_node mark : marks)
        remove_notation(mark);
}

struct Sign {
    Articulation mark;
    const char* group;
    const char* element;
};
constexpr std::array<Sign, 8> signs{{{art_staccato, "articulations", "staccato"},
                                     {art_staccatissimo, "articulations", "staccatissimo"},
                                     {art_tenuto, "articulations", "tenuto"},
                                     {art_accent, "articulations", "accent"},
                                     {art_marcato, "articulations", "strong-accent"},
                                     {art_detached_legato, "articulations", "detached-legato"},
                                     {art_breath_after, "articulations", "breath-mark"},
                                     {art_double_tongue, "technical", "double-tongue"}}};

/// Elements of an ornament's kind.
std::vector<xml_node> elements_of(const xml_node& note, OrnamentKind kind)
{
    switch (kind) {
    case OrnamentKind::trill:
        return marks_of(note, "ornaments", "trill-mark");
    case OrnamentKind::glissando:
    case OrnamentKind::slide: {
        std::vector<xml_node> all;
        for (const xml_node notations : note.children("notations"))
            for (const xml_node mark :
                 notations.children(kind == OrnamentKind::slide ? "slide" : "glissando"))
                all.push_back(mark);
        return all;
    }
    default:
        return {};
    }
}

/// Takes a child away, with the blanks before it; false if there is none of the name.
bool remove_with_blank(xml_node parent, const char* name)
{
    const xml_node child = parent.child(name);
    if (!child)
        return false;
    if (const xml_node before = child.previous_sibling(); before.type() == pugi::node_pcdata)
        parent.remove_child(before);
    return parent.remove_child(child);
}

bool same(const Ornament& a, const Ornament& b)
{
    return a.kind == b.kind && a.semitones == b.semitones && a.start == b.start && a.beats == b.beats &&
           a.strokes == b.strokes && a.closing_turn == b.closing_turn && a.delayed == b.delayed;
}

const std::array<const char*, 5> accidentals{"flat-flat", "flat", "natural", "sharp", "double-sharp"};

/// Sets the start note and the accidental of a trill's upper note.
bool set_trill(xml_node node, const Note& note, const Ornament& before, const Ornament& after)
{
    const auto marks = marks_of(node, "ornaments", "trill-mark");
    if (marks.size() != 1)
        return false;
    xml_node mark = marks.front();
    if (after.start == OrnamentStart::upper && before.start != after.start) {
        mark.remove_attribute("start-note");
        mark.append_attribute("start-note") = "upper";
    }
    if (after.semitones == before.semitones)
        return true;
    // The note above on the staff, altered so that it lies at the wanted distance.
    const int natural = note.printed - note.printed_alter;
    const int above = natural + (note.printed_step == 2 || note.printed_step == 6 ? 1 : 2);
    const int alter = note.printed + after.semitones - above;
    if (alter < -2 || alter > 2)
        return false;
    remove_all(marks_of(node, "ornaments", "accidental-mark"));
    xml_node group = mark.parent();
    xml_node follower = mark.next_sibling();
    while (follower && follower.type() != pugi::node_element)
        follower = follower.next_sibling();
    xml_node sign = add_child(group, "accidental-mark", follower);
    sign.append_attribute("placement") = "above";
    sign.text().set(accidentals[std::size_t(alter + 2)]);
    return true;
}

} // namespace

xml_node add_child(xml_node parent, const char* name, xml_node follower)
{
    const auto blank = [](const xml_node& node) { return node.type() == pugi::node_pcdata; };
    const xml_node first = parent.first_child(), last = parent.last_child();
    if (follower) {
        xml_node made = parent.insert_child_before(name, follower);
        if (const xml_node before = made.previous_sibling(); blank(before))
            parent.insert_child_after(pugi::node_pcdata, made).set_value(before.value());
        return made;
    }
    if (!blank(first) || !blank(last) || first == last)
        return parent.append_child(name);
    xml_node made = parent.insert_child_before(name, last);
    parent.insert_child_before(pugi::node_pcdata, made).set_value(first.value());
    return made;
}

void remove_notation(xml_node mark)
{
    for (xml_node node = mark; node;) {
        xml_node parent = node.parent();
        if (std::string_view(node.name()) == "note")
            return;
        if (const xml_node before = node.previous_sibling(); before.type() == pugi::node_pcdata)
            parent.remove_child(before);
        parent.remove_child(node);
        if (has_elements(parent))
            return;
        node = parent;
    }
}

void set_pitch(xml_node note, int step, int alter, int octave)
{
    xml_node pitch = note.child("pitch");
    if (!pitch)
        return;
    pitch.remove_children();
    pitch.append_child("step").text().set(steps[std::size_t(step)]);
    if (alter != 0)
        pitch.append_child("alter").text().set(alter);
    pitch.append_child("octave").text().set(octave);
    remove_with_blank(note, "accidental");
}

void show_accidental(xml_node note, int alter)
{
    remove_with_blank(note, "accidental");
    add_before(note, "accidental",
               {"time-modification", "stem", "notehead", "notehead-text", "staff", "beam", "notations",
                "lyric", "play", "listen"})
        .text()
        .set(accidentals[std::size_t(alter + 2)]);
}

void make_rest(xml_node note)
{
    const xml_node pitch = note.child("pitch");
    if (!pitch)
        return;
    note.insert_child_before("rest", pitch);
    for (const char* name : {"pitch", "tie", "accidental", "stem", "notehead", "notehead-text", "notations",
                             "lyric", "play", "listen"})
        while (remove_with_blank(note, name)) {
        }
    for (const char* name : {"attack", "release", "dynamics", "end-dynamics", "pizzicato"})
        note.remove_attribute(name);
}

bool set_articulations(xml_node note, std::uint16_t before, std::uint16_t after)
{
    std::uint16_t left = before ^ after;
    for (const Sign& sign : signs) {
        if (!(left & sign.mark))
            continue;
        left &= std::uint16_t(~sign.mark);
        if (after & sign.mark)
            add_child(group_of(note, sign.group), sign.element);
        else
            remove_all(marks_of(note, sign.group, sign.element));
    }
    return left == 0;
}

void set_fingering(xml_node note, const std::string& text)
{
    remove_all(marks_of(note, "technical", "fingering"));
    if (!text.empty())
        add_child(group_of(note, "technical"), "fingering").text().set(text.c_str());
}

bool set_ornaments(xml_node node, const Note& before, const Note& after)
{
    std::size_t at = 0;
    for (const Ornament& old : before.ornaments) {
        const bool more = at < after.ornaments.size();
        if (more && same(old, after.ornaments[at])) {
            ++at;
        } else if (more && old.kind == OrnamentKind::trill && after.ornaments[at].kind == old.kind) {
            if (!set_trill(node, before, old, after.ornaments[at]))
                return false;
            ++at;
        } else {
            const auto elements = elements_of(node, old.kind);
            if (elements.empty())
                return false;
            remove_all(elements);
        }
    }
    return at == after.ornaments.size();
}

void add_slur_end(xml_node note, const char* type, int number)
{
    xml_node slur = add_child(notations_of(note), "slur");
    slur.append_attribute("number") = number;
    slur.append_attribute("type") = type;
}

} // namespace canebrake::musicxml
