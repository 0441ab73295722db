// SPDX-License-Identifier: MIT
#include "engine/files/writing/page_note.h"

#include "engine/files/musicxml/text.h"
#include "engine/files/writing/page_marks.h"
#include "engine/files/writing/xml_insert.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

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

} // namespace

int NotePrinter::Pitch::natural() const
{
    return natural_number(step, octave);
}

void NotePrinter::begin_bar()
{
    heard_.in_bar.clear();
    shown_.clear();
}

std::string NotePrinter::duration(Fraction length) const
{
    const Fraction units = length * Fraction{divisions_, 1};
    return units.den == 1 ? std::to_string(units.num) : decimal(units.value());
}

NotePrinter::Pitch NotePrinter::pitch_of(const Note& note, double micro)
{
    Pitch pitch{std::clamp(note.printed_step, 0, 6), 0, double(note.printed_alter)};
    int natural = note.printed - note.printed_alter;
    if ((natural - natural_number(pitch.step, -1)) % 12 != 0 || std::abs(note.printed_alter) > 2) {
        static constexpr std::array<std::pair<int, int>, 12> sharps{
            {{0, 0}, {0, 1}, {1, 0}, {1, 1}, {2, 0}, {3, 0}, {3, 1}, {4, 0}, {4, 1}, {5, 0}, {5, 1}, {6, 0}}};
        const auto [step, alter] = sharps[std::size_t(((note.printed % 12) + 12) % 12)];
        pitch.step = step;
        pitch.alter = alter;
        natural = note.printed - alter;
    }
    pitch.octave = (natural - natural_number(pitch.step, -1)) / 12 - 1;
    if (pitch.octave < 0 || pitch.octave > 9) { // MusicXML 4.0, simpleType octave: 0 to 9
        if (!std::exchange(octave_said_, true))
            remarks_.push_back("notes in octave " + std::to_string(pitch.octave) +
                               " are written in the nearest that the page has");
        pitch.octave = std::clamp(pitch.octave, 0, 9);
    }
    pitch.alter += micro;
    return pitch;
}

NotePrinter::Pitch NotePrinter::goal_of(const Note& note, const Pitch& from)
{
    const auto rocking = std::find_if(note.ornaments.begin(), note.ornaments.end(), [](const Ornament& o) {
        return o.kind == OrnamentKind::two_note_tremolo;
    });
    const int semitones = rocking->semitones;
    // A diatonic step for every 12/7 semitones, where the file did not say.
    const int letters = rocking->letters.value_or(int(std::lround(semitones * 7.0 / 12.0)));
    const int place = from.step + 7 * from.octave + letters;
    Pitch goal{((place % 7) + 7) % 7, 0, 0.0};
    goal.octave = (place - goal.step) / 7;
    goal.alter = from.natural() + from.alter + semitones - goal.natural();
    return goal;
}

void NotePrinter::print_pitch(xml_node note, const Pitch& pitch)
{
    xml_node node = note.append_child("pitch");
    child(node, "step", std::string(1, step_letters[std::size_t(pitch.step)]));
    if (pitch.alter != 0.0)
        child(node, "alter", decimal(std::round(pitch.alter * 1e4) / 1e4));
    child(node, "octave", std::to_string(pitch.octave));
}

void NotePrinter::print_accidental(xml_node note, const Pitch& pitch, bool tied)
{
    const std::pair place{pitch.step, pitch.octave};
    heard_.in_bar[place] = pitch.alter;
    if (tied)
        return; // the tie carries it over
    const auto before = shown_.find(place);
    const double stands = before != shown_.end() ? before->second : heard_.key[std::size_t(pitch.step)];
    shown_[place] = pitch.alter;
    const char* word = accidental_word(std::round(pitch.alter * 2.0) / 2.0);
    if (stands != pitch.alter && word)
        child(note, "accidental", word);
}

void NotePrinter::print_value(xml_node note, const Piece& piece)
{
    child(note, "type", value_word(piece.exponent));
    for (int i = 0; i < piece.dots; ++i)
        note.append_child("dot");
}

void NotePrinter::print_tuplet(xml_node note, const Piece& piece)
{
    if (piece.actual == piece.normal)
        return;
    xml_node ratio = note.append_child("time-modification");
    child(ratio, "actual-notes", std::to_string(piece.actual));
    child(ratio, "normal-notes", std::to_string(piece.normal));
}

void NotePrinter::print_rest(xml_node measure, const Piece& piece)
{
    xml_node note = measure.append_child("note");
    xml_node rest = note.append_child("rest");
    if (piece.whole_bar)
        attribute(rest, "measure", "yes");
    child(note, "duration", duration(piece.of.length));
    child(note, "voice", "1");
    if (piece.whole_bar)
        return;
    print_value(note, piece);
    print_tuplet(note, piece);
    if (!piece.tuplet_start && !piece.tuplet_stop)
        return;
    xml_node tuplet = note.append_child("notations").append_child("tuplet");
    attribute(tuplet, "type", piece.tuplet_start ? "start" : "stop");
}

void NotePrinter::print_note(xml_node measure, const Note& line_note, const Piece& given,
                             const NoteSigns& signs)
{
    Piece piece = given;
    Pitch pitch = pitch_of(line_note, signs.micro);
    if (piece.of.goal)
        pitch = goal_of(line_note, pitch);
    if (signs.rocks_start || signs.rocks_stop) {
        // Each of the two is printed with the value of both (MusicXML 4.0, tremolo).
        piece.actual *= 2;
        ++piece.exponent;
    }
    xml_node note = measure.append_child("note");
    if (line_note.velocity && signs.first)
        attribute(note, "dynamics", decimal(std::round(*line_note.velocity / 0.9 * 100.0) / 100.0).c_str());
    print_pitch(note, pitch);
    child(note, "duration", duration(piece.of.length));
    if (signs.tie_stop)
        attribute(note.append_child("tie"), "type", "stop");
    if (signs.tie_start)
        attribute(note.append_child("tie"), "type", "start");
    child(note, "voice", "1");
    print_value(note, piece);
    print_accidental(note, pitch, signs.tie_stop);
    print_tuplet(note, piece);
    int number = 0;
    for (const std::string& beam : piece.beams) {
        xml_node node = note.append_child("beam");
        attribute(node, "number", std::to_string(++number).c_str());
        node.text().set(beam.c_str());
    }
    print_notations(note, line_note, pitch, piece, signs);
}

void NotePrinter::print_grace(xml_node measure, const Note& line_note, const NoteSigns& signs,
                              std::size_t place, std::size_t count)
{
    const Pitch pitch = pitch_of(line_note, signs.micro);
    xml_node note = measure.append_child("note");
    xml_node grace = note.append_child("grace");
    if (line_note.grace_after)
        attribute(grace, "steal-time-previous", "20");
    if (line_note.grace_slashed)
        attribute(grace, "slash", "yes");
    print_pitch(note, pitch);
    child(note, "voice", "1");
    Piece piece;
    piece.exponent = count > 1 ? -2 : -1;
    print_value(note, piece);
    print_accidental(note, pitch, false);
    for (int level = 1; count > 1 && level <= 2; ++level) {
        xml_node beam = note.append_child("beam");
        attribute(beam, "number", std::to_string(level).c_str());
        beam.text().set(place == 0 ? "begin" : place + 1 == count ? "end" : "continue");
    }
    print_notations(note, line_note, pitch, piece, signs);
}

} // namespace canebrake::musicxml
