// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/notes.h"

#include "engine/files/musicxml/directions.h"
#include "engine/files/musicxml/ornaments.h"
#include "engine/files/musicxml/text.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <unordered_map>

namespace canebrake::musicxml
{

namespace
{

using pugi::xml_node;

bool is(const xml_node& node, const char* attribute, std::string_view value)
{
    return std::string_view(node.attribute(attribute).value()) == value;
}

void read_articulations(const xml_node& articulations, Note& note)
{
    static const std::unordered_map<std::string, std::uint16_t> marks{
        {"staccato", art_staccato},
        {"staccatissimo", art_staccatissimo},
        {"spiccato", art_staccatissimo},
        {"tenuto", art_tenuto},
        {"accent", art_accent},
        {"soft-accent", art_accent},
        {"strong-accent", art_marcato},
        {"detached-legato", art_detached_legato},
        {"breath-mark", art_breath_after},
        {"caesura", art_breath_after}};
    for (const xml_node mark : articulations.children())
        if (const auto found = marks.find(mark.name()); found != marks.end())
            note.articulations |= found->second;
}

/// Several fingerings are one after the other; a substitution or an alternate counts only alone.
std::string read_fingering(const xml_node& technical)
{
    std::string all, others;
    for (const xml_node fingering : technical.children("fingering")) {
        const bool other = is(fingering, "substitution", "yes") || is(fingering, "alternate", "yes");
        std::string& text = other ? others : all;
        const std::string more = trimmed(fingering.child_value());
        text += (text.empty() || more.empty() ? "" : " ") + more;
    }
    return all.empty() ? others : all;
}

void read_technical(const xml_node& technical, Note& note)
{
    const std::string fingering = read_fingering(technical);
    note.fingering += (note.fingering.empty() || fingering.empty() ? "" : " ") + fingering;
    if (technical.child("double-tongue") || technical.child("triple-tongue"))
        note.articulations |= art_double_tongue;
    for (const xml_node other : technical.children("other-technical"))
        if (flutter_words(other.child_value()).value_or(false))
            note.articulations |= art_flutter;
}

void read_notations(const xml_node& notations, const Place& place, WrittenNote& written, Sighting& unknown,
                    const std::string& bar)
{
    Accidentals apart; // beside the ornaments, not among them
    for (const xml_node mark : notations.children("accidental-mark"))
        apart.read(mark);
    for (const xml_node mark : notations.children()) {
        const std::string_view name = mark.name();
        if (name == "slur" && !is(mark, "type", "continue")) {
            written.slurs.push_back(
                {whole_number(mark.attribute("number").value(), 1), is(mark, "type", "start")});
        } else if (name == "tied") {
            written.tie_start = written.tie_start || is(mark, "type", "start");
            written.tie_stop = written.tie_stop || is(mark, "type", "stop");
        } else if (name == "articulations") {
            read_articulations(mark, written.note);
        } else if (name == "fermata") {
            written.note.articulations |= art_fermata;
        } else if (name == "ornaments") {
            read_ornaments(mark, apart, place, written, unknown, bar);
        } else if (name == "technical") {
            read_technical(mark, written.note);
        } else if (name == "glissando") {
            written.glissando_start = written.glissando_start || is(mark, "type", "start");
        } else if (name == "slide") {
            written.slide_start = written.slide_start || is(mark, "type", "start");
        }
    }
}
} // namespace

void KeyState::read_key(const xml_node& node)
{
    static constexpr std::array<int, 7> order_of_sharps{3, 0, 4, 1, 5, 2, 6};
    key = {};
    if (const xml_node fifths = node.child("fifths")) {
        const int n = std::clamp(whole_number(fifths.child_value(), 0), -14, 14);
        for (int i = 0; i < std::abs(n); ++i)
            key[std::size_t(order_of_sharps[std::size_t(n > 0 ? i % 7 : 6 - i % 7)])] += n > 0 ? 1 : -1;
        return;
    }
    for (xml_node step = node.child("key-step"); step; step = step.next_sibling("key-step")) {
        const int letter = step_number(step.child_value());
        const auto alter = first_number(step.next_sibling("key-alter").child_value());
        if (letter >= 0 && alter && std::abs(*alter) <= 3.0)
            key[std::size_t(letter)] = *alter;
    }
}

double KeyState::alter(int step, int octave) const
{
    const auto found = in_bar.find({step, octave});
    return found != in_bar.end() ? found->second : key[std::size_t(step)];
}

bool read_note(const xml_node& node, int transposition_semitones, double transposition_rest, KeyState& state,
               WrittenNote& written, Sighting& unknown_ornaments, const std::string& bar)
{
    const xml_node pitch = node.child("pitch");
    const int step = step_number(pitch.child_value("step"));
    const int octave = whole_number(pitch.child_value("octave"), -1000);
    const std::string alter_text = trimmed(pitch.child_value("alter"));
    const double alter =
        alter_text.empty() ? 0.0
                           : first_number(alter_text[0] == '.' ? "0" + alter_text : alter_text).value_or(0.0);
    if (step < 0 || octave < -1 || octave > 10 || std::abs(alter) > 4.0)
        return false;

    Note& note = written.note;
    note.printed_step = step;
    note.printed_alter = int(alter); // the printed number has no quarter tones; `sounding` has
    note.printed = natural_number(step, octave) + note.printed_alter;
    note.sounding = {natural_number(step, octave) + alter + transposition_semitones + transposition_rest};
    state.in_bar[{step, octave}] = alter;

    for (const xml_node tie : node.children("tie")) {
        written.tie_start = written.tie_start || is(tie, "type", "start");
        written.tie_stop = written.tie_stop || is(tie, "type", "stop");
    }
    const Place place{octave, alter, state};
    written.above = neighbour_distance(note, place, 1, {});
    for (const xml_node notations : node.children("notations"))
        read_notations(notations, place, written, unknown_ornaments, bar);
    written.stroke_quarters = printed_stroke(node, written.strokes, true);
    for (Ornament& ornament : note.ornaments)
        if (ornament.kind == OrnamentKind::tremolo)
            ornament.stroke_quarters = printed_stroke(node, ornament.strokes, false);
    if (const auto percent = first_number(node.attribute("dynamics").value()))
        note.velocity = std::clamp(*percent * 0.9, 1.0, 127.0); // 100 % is a forte of MIDI velocity 90
    return true;
}

void merge_chord_note(WrittenNote& kept, const WrittenNote& other)
{
    const bool higher = other.note.sounding > kept.note.sounding;
    WrittenNote merged = higher ? other : kept;
    const WrittenNote& lower = higher ? kept : other;
    merged.note.articulations |= lower.note.articulations;
    if (merged.note.ornaments.empty())
        merged.note.ornaments = lower.note.ornaments;
    merged.slurs.insert(merged.slurs.end(), lower.slurs.begin(), lower.slurs.end());
    merged.wavy_start |= lower.wavy_start;
    merged.wavy_stop |= lower.wavy_stop;
    merged.two_note_start |= lower.two_note_start;
    merged.two_note_stop |= lower.two_note_stop;
    merged.glissando_start |= lower.glissando_start;
    merged.slide_start |= lower.slide_start;
    kept = std::move(merged);
}

} // namespace canebrake::musicxml
