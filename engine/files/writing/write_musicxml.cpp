// SPDX-License-Identifier: MIT
#include "engine/files/writing/write_musicxml.h"

#include "engine/files/writing/page_marks.h"
#include "engine/files/writing/page_note.h"
#include "engine/files/writing/page_plan.h"
#include "engine/files/writing/xml_insert.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <sstream>

namespace canebrake
{

namespace
{

using namespace musicxml;
using pugi::xml_node;

void child(xml_node node, const char* name, const std::string& text)
{
    node.append_child(name).text().set(text.c_str());
}

class PartWriter
{
public:
    PartWriter(const Line& line, const PartLayout& layout, std::vector<std::string>& remarks)
        : line_(line), layout_(layout), remarks_(remarks), plan_(line, layout.transposition, remarks),
          marks_(page_marks(line, plan_.time, remarks)), transposed_(layout.transposition)
    {
        sort_annotations();
    }

    void write(xml_node root);

private:
    void sort_annotations();

    void write_head(xml_node root) const;
    void write_bar(xml_node part, std::size_t bar, NotePrinter&);
    void write_attributes(xml_node measure, std::size_t bar, NotePrinter&);
    void write_transpose(xml_node attributes, int semitones) const;
    void write_marks(xml_node measure, Fraction here, Fraction before_end, bool all);
    void write_graces(xml_node measure, const std::vector<std::size_t>&, NotePrinter&);
    void write_words(xml_node measure, std::size_t note);
    NoteSigns signs_of(std::size_t note, bool first, bool last) const;

    const Line& line_;
    const PartLayout& layout_;
    std::vector<std::string>& remarks_;
    PagePlan plan_;
    std::vector<PageMark> marks_;
    std::size_t next_mark_ = 0;
    int transposed_ = 0;                                       // as written so far
    std::map<std::string, std::vector<const Annotation*>> at_; // by Source::id
};

void PartWriter::sort_annotations()
{
    for (const Annotation& each : layout_.annotations)
        at_[each.note].push_back(&each);
    for (const auto& [id, each] : at_)
        if (std::none_of(line_.notes.begin(), line_.notes.end(),
                         [&, &name = id](const Note& note) { return note.source.id == name; }))
            remarks_.push_back("no note '" + id + "' in the line: nothing said there");
}

void PartWriter::write_head(xml_node root) const
{
    if (const std::string title = printable(layout_.title); !title.empty())
        child(root.append_child("work"), "work-title", title);
    child(root.append_child("identification").append_child("encoding"), "software", "Canebrake");
    xml_node part = root.append_child("part-list").append_child("score-part");
    part.append_attribute("id") = "P1";
    const std::string name = printable(layout_.part_name);
    child(part, "part-name", name);
    xml_node instrument = part.append_child("score-instrument");
    instrument.append_attribute("id") = "P1-I1";
    child(instrument, "instrument-name", name);
    if (const std::string sound = printable(layout_.sound_id); !sound.empty())
        child(instrument, "instrument-sound", sound);
    if (layout_.midi_program < 0 || layout_.midi_program > 127)
        return;
    xml_node midi = part.append_child("midi-instrument");
    midi.append_attribute("id") = "P1-I1";
    child(midi, "midi-channel", "1");
    child(midi, "midi-program", std::to_string(layout_.midi_program + 1));
}

/// Letter names that go with 0 … 11 semitones, as instruments transpose (B♭: a second, A: a third …).
void PartWriter::write_transpose(xml_node attributes, int semitones) const
{
    static constexpr std::array<int, 12> letters{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6};
    const int octaves = semitones / 12, rest = semitones % 12;
    const int diatonic = letters[std::size_t(std::abs(rest))] * (rest < 0 ? -1 : 1);
    xml_node transpose = attributes.append_child("transpose");
    child(transpose, "diatonic", std::to_string(diatonic));
    child(transpose, "chromatic", std::to_string(rest));
    if (octaves != 0)
        child(transpose, "octave-change", std::to_string(octaves));
}

void PartWriter::write_attributes(xml_node measure, std::size_t bar, NotePrinter& printer)
{
    const Bar& now = plan_.time.bars[bar];
    const bool first = bar == 0;
    int fifths = layout_.fifths;
    bool new_key = first;
    const double from = first ? -1e300 : plan_.time.bar_starts[bar - 1].value() + 1e-6;
    for (const KeyPoint& key : layout_.keys)
        if (key.quarter >= from && key.quarter < plan_.time.bar_starts[bar].value() + 1e-6) {
            fifths = key.fifths;
            new_key = true;
        }
    const bool meter = first || now.beats != plan_.time.bars[bar - 1].beats ||
                       now.beat_type != plan_.time.bars[bar - 1].beat_type;
    if (!meter && !new_key)
        return;
    xml_node attributes = measure.append_child("attributes");
    if (first)
        child(attributes, "divisions", std::to_string(plan_.divisions));
    if (new_key) {
        xml_node key = attributes.append_child("key");
        child(key, "fifths", std::to_string(std::clamp(fifths, -7, 7)));
        printer.set_key(key);
    }
    if (meter) {
        const Meter counted = plan_.meter_of(bar);
        xml_node time = attributes.append_child("time");
        child(time, "beats", std::to_string(counted.beats));
        child(time, "beat-type", std::to_string(counted.beat_type));
    }
    if (!first)
        return;
    xml_node clef = attributes.append_child("clef");
    child(clef, "sign", layout_.bass_clef ? "F" : "G");
    child(clef, "line", layout_.bass_clef ? "4" : "2");
    write_transpose(attributes, layout_.transposition);
}

/// Signs up to (and, at the end, at) a moment, seen from where the document stands.
void PartWriter::write_marks(xml_node measure, Fraction here, Fraction before_end, bool all)
{
    for (; next_mark_ < marks_.size() && (all || marks_[next_mark_].at < before_end); ++next_mark_)
        print_mark(measure, marks_[next_mark_], marks_[next_mark_].at - here, plan_.divisions);
}

NoteSigns PartWriter::signs_of(std::size_t note, bool first, bool last) const
{
    const Note& own = line_.notes[note];
    NoteSigns signs;
    signs.first = first;
    signs.last = last;
    signs.slur_start = first && plan_.slur_start[note];
    signs.slur_stop = last && plan_.slur_stop[note];
    signs.micro = plan_.micro[note];
    if (first && note > 0)
        for (const Ornament& o : line_.notes[note - 1].ornaments) {
            signs.run_stop |= o.kind == OrnamentKind::glissando || o.kind == OrnamentKind::slide;
            signs.slide_stop |= o.kind == OrnamentKind::slide;
        }
    signs.fingering = printable(own.fingering);
    if (const auto found = at_.find(own.source.id); found != at_.end())
        for (const Annotation* each : found->second) {
            if (each->kind == Annotation::fingering && signs.fingering.empty())
                signs.fingering = printable(each->text);
            signs.breath |= each->kind == Annotation::breath;
        }
    return signs;
}

void PartWriter::write_words(xml_node measure, std::size_t note)
{
    const auto found = at_.find(line_.notes[note].source.id);
    if (found == at_.end())
        return;
    for (const Annotation* each : found->second) {
        const std::string text = printable(each->text);
        if (each->kind != Annotation::words || text.empty())
            continue;
        xml_node direction = measure.append_child("direction");
        direction.append_attribute("placement") = "below";
        xml_node words = direction.append_child("direction-type").append_child("words");
        words.append_attribute("font-style") = "italic";
        words.append_attribute("font-size") = "8";
        words.text().set(text.c_str());
        child(direction, "voice", "1");
    }
}

void PartWriter::write_graces(xml_node measure, const std::vector<std::size_t>& graces, NotePrinter& printer)
{
    for (std::size_t k = 0; k < graces.size(); ++k) {
        write_words(measure, graces[k]);
        printer.print_grace(measure, line_.notes[graces[k]], signs_of(graces[k], true, true), k,
                            graces.size());
    }
}

void PartWriter::write_bar(xml_node part, std::size_t bar, NotePrinter& printer)
{
    const Fraction from = plan_.time.bar_starts[bar], to = plan_.time.bar_starts[bar + 1];
    xml_node measure = part.append_child("measure");
    const std::string number = printable(plan_.time.bars[bar].number);
    measure.append_attribute("number") = number.empty() ? std::to_string(bar + 1).c_str() : number.c_str();
    if (plan_.meter_of(bar).upbeat.num > 0)
        measure.append_attribute("implicit") = "yes";
    printer.begin_bar();
    write_attributes(measure, bar, printer);
    for (const Piece& piece : plan_.bars[bar]) {
        const Fraction start = from + piece.of.start, end = start + piece.of.length;
        const auto note = std::size_t(std::max(0, piece.of.note));
        const bool first = piece.of.note >= 0 && !piece.of.goal && plan_.time.notes[note].start == start;
        if (first && plan_.transposition[note] != transposed_) {
            transposed_ = plan_.transposition[note];
            write_transpose(measure.append_child("attributes"), transposed_);
        }
        write_marks(measure, start, end, false);
        if (piece.of.note < 0) {
            printer.print_rest(measure, piece);
            continue;
        }
        const auto [begins, ends] = plan_.time.notes[note];
        const bool last = ends == end;
        const auto small = plan_.before.find(note);
        if (first && small != plan_.before.end())
            write_graces(measure, small->second, printer);
        if (first)
            write_words(measure, note);
        NoteSigns signs = signs_of(note, first, last);
        const bool rocking = rocks(line_.notes[note]);
        const Fraction middle = rocking ? begins + (ends - begins) * Fraction{1, 2} : ends;
        signs.tie_start = piece.of.goal ? end < ends : end < middle;
        signs.tie_stop = piece.of.goal ? start > middle : start > begins;
        signs.rocks_start = rocking && !piece.of.goal && end == middle;
        signs.rocks_stop = rocking && piece.of.goal && start == middle;
        printer.print_note(measure, line_.notes[note], piece, signs);
        if (const auto behind = plan_.after.find(note); last && behind != plan_.after.end())
            write_graces(measure, behind->second, printer);
    }
    if (bar + 1 < plan_.time.bars.size())
        return;
    write_marks(measure, to, to, true);
    xml_node line = measure.append_child("barline");
    line.append_attribute("location") = "right";
    child(line, "bar-style", "light-heavy");
}

void PartWriter::write(xml_node root)
{
    write_head(root);
    xml_node part = root.append_child("part");
    part.append_attribute("id") = "P1";
    NotePrinter printer(plan_.divisions, remarks_);
    for (std::size_t bar = 0; bar < plan_.time.bars.size(); ++bar)
        write_bar(part, bar, printer);
    if (!line_.bends.empty())
        remarks_.push_back("pitch bends are not written");
}

} // namespace

std::string write_musicxml(const Line& line, const PartLayout& layout, std::vector<std::string>& remarks)
{
    pugi::xml_document document;
    xml_node declaration = document.append_child(pugi::node_declaration);
    declaration.append_attribute("version") = "1.0";
    declaration.append_attribute("encoding") = "UTF-8";
    xml_node root = document.append_child("score-partwise");
    root.append_attribute("version") = "4.0";
    PartWriter(line, layout, remarks).write(root);
    std::ostringstream text;
    document.save(text, "  ");
    return text.str();
}

} // namespace canebrake
