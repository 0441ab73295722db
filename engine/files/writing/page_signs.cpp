// SPDX-License-Identifier: MIT
#include "engine/files/writing/page_note.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace canebrake::musicxml
{

namespace
{

using pugi::xml_node;

void attribute(xml_node node, const char* name, const char* value)
{
    node.append_attribute(name) = value;
}
void child(xml_node node, const char* name, const std::string& text)
{
    node.append_child(name).text().set(text.c_str());
}

/// Groups of signs that appear only once something is in them.
class Groups
{
public:
    explicit Groups(xml_node note) : note_(note) {}
    xml_node notations()
    {
        if (!notations_)
            notations_ = note_.append_child("notations");
        return notations_;
    }
    xml_node in(const char* group)
    {
        xml_node found = notations().child(group);
        return found ? found : notations_.append_child(group);
    }

private:
    xml_node note_, notations_;
};

} // namespace

const char* accidental_word(double alter)
{
    const std::array<std::pair<double, const char*>, 9> words{{{-2.0, "flat-flat"},
                                                               {-1.5, "three-quarters-flat"},
                                                               {-1.0, "flat"},
                                                               {-0.5, "quarter-flat"},
                                                               {0.0, "natural"},
                                                               {0.5, "quarter-sharp"},
                                                               {1.0, "sharp"},
                                                               {1.5, "three-quarters-sharp"},
                                                               {2.0, "double-sharp"}}};
    for (const auto& [each, word] : words)
        if (each == alter)
            return word;
    return nullptr;
}

void NotePrinter::print_notations(xml_node note, const Note& line_note, const Pitch& pitch,
                                  const Piece& piece, const NoteSigns& signs)
{
    Groups groups(note);
    const auto typed = [&](const char* name, const char* type) {
        xml_node node = groups.notations().append_child(name);
        attribute(node, "type", type);
        return node;
    };
    if (signs.tie_stop)
        typed("tied", "stop");
    if (signs.tie_start)
        typed("tied", "start");
    if (signs.slur_stop)
        attribute(typed("slur", "stop"), "number", "1");
    if (signs.slur_start)
        attribute(typed("slur", "start"), "number", "1");
    if (piece.tuplet_start)
        attribute(typed("tuplet", "start"), "bracket", "yes");
    if (piece.tuplet_stop)
        typed("tuplet", "stop");
    if (signs.run_stop)
        typed(signs.slide_stop ? "slide" : "glissando", "stop");
    if (signs.last)
        for (const Ornament& o : line_note.ornaments)
            if (o.kind == OrnamentKind::slide || o.kind == OrnamentKind::glissando)
                typed(o.kind == OrnamentKind::slide ? "slide" : "glissando", "start");

    for (const Ornament& ornament : line_note.ornaments) {
        const bool rocking = ornament.kind == OrnamentKind::two_note_tremolo;
        const bool run = ornament.kind == OrnamentKind::slide || ornament.kind == OrnamentKind::glissando;
        if (rocking ? signs.rocks_start || signs.rocks_stop
                    : !run && (signs.first || ornament.kind == OrnamentKind::tremolo))
            print_ornament(groups.in("ornaments"), ornament, pitch, piece);
    }
    const std::uint16_t marks = line_note.articulations;
    if (signs.first) {
        if (!signs.fingering.empty())
            child(groups.in("technical"), "fingering", signs.fingering);
        if (marks & art_double_tongue)
            groups.in("technical").append_child("double-tongue");
        if (marks & art_flutter)
            child(groups.in("technical"), "other-technical", "flutter-tongue");
        static constexpr std::pair<Articulation, const char*> names[] = {
            {art_accent, "accent"},
            {art_marcato, "strong-accent"},
            {art_staccato, "staccato"},
            {art_tenuto, "tenuto"},
            {art_detached_legato, "detached-legato"},
            {art_staccatissimo, "staccatissimo"}};
        for (const auto& [bit, name] : names)
            if (marks & bit)
                groups.in("articulations").append_child(name);
    }
    if (signs.last && ((marks & art_breath_after) || signs.breath))
        groups.in("articulations").append_child("breath-mark");
    if (signs.last && (marks & art_fermata))
        groups.notations().append_child("fermata");
}

/// The accidental at an ornament, where the neighbour is not what key and bar make it.
void NotePrinter::print_neighbour(xml_node ornaments, const Pitch& pitch, int way, int semitones)
{
    const int place = pitch.step + 7 * pitch.octave + way;
    Pitch other{((place % 7) + 7) % 7, 0, 0.0};
    other.octave = (place - other.step) / 7;
    const double alter = pitch.natural() + pitch.alter + way * semitones - other.natural();
    if (alter == heard_.alter(other.step, other.octave))
        return;
    const char* word = accidental_word(alter);
    if (!word || std::abs(alter) == 1.5) {
        remarks_.push_back("an ornament to a note " + std::to_string(semitones) +
                           " semitones away has no accidental that says so");
        return;
    }
    xml_node mark = ornaments.append_child("accidental-mark");
    attribute(mark, "placement", way > 0 ? "above" : "below");
    mark.text().set(word);
}

void NotePrinter::print_ornament(xml_node ornaments, const Ornament& ornament, const Pitch& pitch,
                                 const Piece& piece)
{
    if (ornament.kind == OrnamentKind::tremolo || ornament.kind == OrnamentKind::two_note_tremolo) {
        const bool two = ornament.kind == OrnamentKind::two_note_tremolo;
        int strokes = ornament.strokes > 0 ? std::min(ornament.strokes, 8) : 3;
        if (ornament.stroke_quarters > 0.0) {
            // One stroke is value / 2^(beams + strokes); the value may not be the first one's any more.
            const double unit = double(piece.normal) / piece.actual * (two ? 2.0 : 1.0);
            const double wanted = std::log2(unit / ornament.stroke_quarters) - std::max(0, -piece.exponent);
            if (std::abs(wanted - std::round(wanted)) < 1e-6 && wanted >= 1.0 && wanted <= 8.0)
                strokes = int(std::lround(wanted));
        }
        xml_node sign = ornaments.append_child("tremolo");
        attribute(sign, "type", !two ? "single" : piece.of.goal ? "stop" : "start");
        sign.text().set(strokes);
        return;
    }
    const bool below_only = ornament.kind == OrnamentKind::mordent;
    const bool turn = ornament.kind == OrnamentKind::turn || ornament.kind == OrnamentKind::inverted_turn;
    const bool inverted = ornament.kind == OrnamentKind::inverted_turn;
    xml_node sign =
        ornaments.append_child(ornament.kind == OrnamentKind::trill              ? "trill-mark"
                               : below_only                                      ? "mordent"
                               : ornament.kind == OrnamentKind::inverted_mordent ? "inverted-mordent"
                               : ornament.delayed ? (inverted ? "delayed-inverted-turn" : "delayed-turn")
                               : inverted         ? "inverted-turn"
                                                  : "turn");
    if (ornament.extended && (below_only || ornament.kind == OrnamentKind::inverted_mordent))
        attribute(sign, "long", "yes");
    if (ornament.start)
        attribute(sign, "start-note",
                  *ornament.start == OrnamentStart::upper   ? "upper"
                  : *ornament.start == OrnamentStart::below ? "below"
                                                            : "main");
    if (ornament.closing_turn)
        attribute(sign, "two-note-turn", ornament.semitones_below == 2 ? "whole" : "half");
    if (ornament.accelerate)
        attribute(sign, "accelerate", "yes");
    if (ornament.beats >= 2)
        attribute(sign, "beats", std::to_string(ornament.beats).c_str());
    if (!below_only)
        print_neighbour(ornaments, pitch, 1, ornament.semitones);
    if (below_only || turn)
        print_neighbour(ornaments, pitch, -1, below_only ? ornament.semitones : ornament.semitones_below);
}

} // namespace canebrake::musicxml
