// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/walk.h"

#include "engine/files/musicxml/directions.h"
#include "engine/files/musicxml/notes.h"
#include "engine/files/musicxml/text.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>
#include <unordered_map>

namespace canebrake::musicxml
{

namespace
{

using pugi::xml_node;

class PartWalker
{
public:
    explicit PartWalker(const std::string& id) { part_.id = id; }
    WrittenPart walk(const std::vector<BarNode>&);

private:
    void walk_bar(const xml_node& content, std::size_t index);
    void read_attributes(const xml_node&);
    void read_time(const xml_node&);
    void read_transpose(const xml_node&);
    void meet_note(const xml_node&);
    Fraction length_of(const xml_node&) const;
    Fraction in_divisions(const char* text) const;
    void settle_graces(WrittenBar&) const;
    void flutter(WrittenBar&);
    void repeat_measures(std::size_t index);

    WrittenPart part_;
    Fraction divisions_{1, 1}; // a quarter
    int beats_ = 4, beat_type_ = 4;
    bool senza_misura_ = false;
    KeyState key_;
    bool key_seen_ = false;
    int transposition_ = 0;
    double transposition_rest_ = 0.0; // of a transposition by quarter tones
    int repeated_bars_ = 0;           // inside a measure repeat: of how many bars
    enum class Flutter { off, begun, every_note, struck_notes } flutter_ = Flutter::off;

    WrittenBar* bar_ = nullptr;
    Fraction cursor_, filled_, last_start_;
    int note_in_bar_ = 0;
    bool chord_open_ = false, chord_counted_ = false;
};

WrittenPart PartWalker::walk(const std::vector<BarNode>& nodes)
{
    part_.bars.resize(nodes.size());
    for (std::size_t i = 0; i < nodes.size(); ++i) {
        const pugi::xml_attribute number = nodes[i].measure.attribute("number");
        part_.bars[i].number = *number.value() ? number.value() : std::to_string(i + 1);
        walk_bar(nodes[i].content, i);
    }
    return std::move(part_);
}

void PartWalker::walk_bar(const xml_node& content, std::size_t index)
{
    bar_ = &part_.bars[index];
    cursor_ = filled_ = last_start_ = {};
    note_in_bar_ = 0;
    chord_open_ = false;
    key_.in_bar.clear();
    for (const xml_node child : content.children()) {
        const std::string_view name = child.name();
        if (name == "note") {
            meet_note(child);
        } else if (name == "backup") {
            cursor_ = std::max(Fraction{}, cursor_ - in_divisions(child.child_value("duration")));
        } else if (name == "forward") {
            cursor_ = cursor_ + in_divisions(child.child_value("duration"));
        } else if (name == "attributes") {
            read_attributes(child);
        } else if (name == "direction") {
            // By the standard an offset moves the sign on the page, and the playing only if it says so.
            Fraction at = cursor_;
            const xml_node offset = child.child("offset");
            if (std::string_view(offset.attribute("sound").value()) == "yes") {
                const std::string text = trimmed(offset.child_value());
                at = text.starts_with('-') ? cursor_ - in_divisions(text.c_str() + 1)
                                           : cursor_ + in_divisions(text.c_str());
            }
            read_direction(child, std::max(Fraction{}, at), *bar_);
        } else if (name == "sound") {
            read_sound(child, cursor_, *bar_);
        } else if (name == "print") {
            read_new_name(child, cursor_, *bar_);
        } else if (name == "barline") {
            read_barline(child, *bar_, index + 1 < part_.bars.size() ? bar_ + 1 : nullptr);
        }
        filled_ = std::max(filled_, cursor_);
    }
    bar_->length = filled_;
    bar_->beats = beats_;
    bar_->beat_type = beat_type_;
    if (!senza_misura_)
        bar_->nominal = Fraction::of(4 * beats_, beat_type_);
    settle_graces(*bar_);
    flutter(*bar_);
    repeat_measures(index);
}

Fraction PartWalker::in_divisions(const char* text) const
{
    const auto value = exact_number(text);
    return value ? *value / divisions_ : Fraction{};
}

void PartWalker::read_attributes(const xml_node& attributes)
{
    if (const auto divisions = exact_number(attributes.child_value("divisions"));
        divisions && divisions->num > 0)
        divisions_ = *divisions;
    for (const xml_node key : attributes.children("key")) {
        key_.read_key(key);
        if (whole_number(key.attribute("number").value(), 1) != 1) // of a lower staff
            continue;
        const int fifths = whole_number(key.child_value("fifths"), 0);
        const bool in_fifths = bool(key.child("fifths")); // else its accidentals are listed one by one
        if (fifths < -7 || fifths > 7 || (!in_fifths && !key_seen_))
            continue;
        key_seen_ = true;
        bar_->keys.push_back({cursor_, fifths});
    }
    if (const xml_node time = attributes.child("time"))
        read_time(time);
    if (const xml_node transpose = attributes.child("transpose"))
        read_transpose(transpose);
    for (const xml_node style : attributes.children("measure-style"))
        if (const xml_node repeat = style.child("measure-repeat"))
            repeated_bars_ = std::string_view(repeat.attribute("type").value()) == "start"
                                 ? std::clamp(whole_number(repeat.child_value(), 1), 1, 8)
                                 : 0;
}

void PartWalker::read_time(const xml_node& time)
{
    senza_misura_ = bool(time.child("senza-misura"));
    int beats = 0, beat_type = 0;
    for (const xml_node child : time.children()) {
        if (std::string_view(child.name()) != "beats")
            continue;
        int sum = 0; // "3+2"
        std::string number;
        for (const char c : std::string(child.child_value()) + "+") {
            if (c == '+')
                sum += whole_number(std::exchange(number, {}).c_str(), 0);
            else
                number += c;
        }
        const int type = whole_number(child.next_sibling("beat-type").child_value(), 0);
        if (sum <= 0 || sum > 256 || type <= 0 || type > 256)
            return;
        if (beat_type == 0) {
            beats = sum;
            beat_type = type;
        } else if (type >= beat_type && type % beat_type == 0) { // 2/4 + 3/8 is 7/8
            beats = beats * (type / beat_type) + sum;
            beat_type = type;
        } else if (beat_type % type == 0) {
            beats += sum * (beat_type / type);
        }
    }
    if (beat_type > 0 && beats > 0) {
        beats_ = beats;
        beat_type_ = beat_type;
    }
}

void PartWalker::read_transpose(const xml_node& transpose)
{
    part_.transpose_seen = true;
    const double semitones = first_number(transpose.child_value("chromatic")).value_or(0.0);
    const int octaves = whole_number(transpose.child_value("octave-change"), 0);
    const double clamped = std::clamp(semitones, -48.0, 48.0);
    transposition_ = int(std::trunc(clamped)) + 12 * std::clamp(octaves, -4, 4);
    transposition_rest_ = clamped - std::trunc(clamped);
}

/// As the file counts it; where it leaves it out, from the printed shape.
Fraction PartWalker::length_of(const xml_node& note) const
{
    static const std::unordered_map<std::string, Fraction> shapes{
        {"breve", {8, 1}},  {"whole", {4, 1}}, {"half", {2, 1}}, {"quarter", {1, 1}},
        {"eighth", {1, 2}}, {"16th", {1, 4}},  {"32nd", {1, 8}}, {"64th", {1, 16}}};
    if (const xml_node duration = note.child("duration"))
        return in_divisions(duration.child_value());
    const auto shape = shapes.find(trimmed(note.child_value("type")));
    if (shape == shapes.end())
        return {};
    Fraction length = shape->second, dot = length;
    int dots = 0;
    for (xml_node d = note.child("dot"); d && dots < 4; d = d.next_sibling("dot"), ++dots) {
        dot = dot * Fraction{1, 2};
        length = length + dot;
    }
    const xml_node tuplet = note.child("time-modification");
    const int actual = whole_number(tuplet.child_value("actual-notes"), 1);
    const int normal = whole_number(tuplet.child_value("normal-notes"), 1);
    return actual > 0 && normal > 0 ? length * Fraction::of(normal, actual) : length;
}

void PartWalker::meet_note(const xml_node& node)
{
    ++note_in_bar_;
    const bool in_chord = bool(node.child("chord")), grace = bool(node.child("grace"));
    const Fraction length = grace ? Fraction{} : length_of(node);
    if (!in_chord) {
        last_start_ = cursor_;
        if (!grace)
            cursor_ = cursor_ + length;
        chord_counted_ = false;
    }
    const bool continues_chord = in_chord && chord_open_;
    if (!in_chord)
        chord_open_ = false;
    for (const xml_node notations : node.children("notations"))
        for (const xml_node dynamics : notations.children("dynamics"))
            read_dynamics(dynamics, last_start_, *bar_);
    if (node.child("unpitched"))
        part_.unpitched.see(bar_->number);
    if (node.child("cue") || node.child("rest") || !node.child("pitch"))
        return;
    if (!grace && length.num <= 0) {
        part_.without_length.see(bar_->number);
        return;
    }

    WrittenNote written;
    written.start = last_start_;
    written.length = length;
    if (!read_note(node, transposition_, transposition_rest_, key_, written, part_.unknown_ornaments,
                   bar_->number))
        return;
    Note& note = written.note;
    note.grace = grace;
    const xml_node grace_node = node.child("grace");
    note.grace_slashed = std::string_view(grace_node.attribute("slash").value()) == "yes";
    note.grace_after =
        grace_node.attribute("steal-time-previous") && !grace_node.attribute("steal-time-following");
    const std::string voice = trimmed(node.child_value("voice"));
    const char* id = node.attribute("id").value();
    note.source.voice = voice.empty() ? "1" : voice;
    note.source.instrument = node.child("instrument").attribute("id").value();
    note.source.bar = bar_->number;
    note.source.beat = 1.0 + last_start_.value() * beat_type_ / 4.0;
    note.source.id = *id ? id : part_.id + ":m" + bar_->number + ":n" + std::to_string(note_in_bar_);
    if (!continues_chord) {
        bar_->notes.push_back(std::move(written));
        chord_open_ = true;
        return;
    }
    if (!chord_counted_)
        part_.chords.see(bar_->number);
    chord_counted_ = true;
    merge_chord_note(bar_->notes.back(), written);
}

/// A grace note that no note of its voice follows at the same spot belongs to the note before it.
void PartWalker::settle_graces(WrittenBar& bar) const
{
    std::set<std::pair<std::string, Fraction>> mains; // met further on, walking back
    for (auto written = bar.notes.rbegin(); written != bar.notes.rend(); ++written) {
        const std::pair spot{written->note.source.voice, written->start};
        if (!written->note.grace)
            mains.insert(spot);
        else if (!mains.contains(spot))
            written->note.grace_after = true;
    }
}

/// Flutter-tongue holds from the word to the one that ends it. Where the first note under it has strokes
/// through its stem, as flutter is often written, only notes with strokes are fluttered.
void PartWalker::flutter(WrittenBar& bar)
{
    std::stable_sort(bar.flutter.begin(), bar.flutter.end(),
                     [](const FlutterMark& a, const FlutterMark& b) { return a.at < b.at; });
    std::vector<std::size_t> by_start(bar.notes.size()); // voices stand one after the other in the document
    std::iota(by_start.begin(), by_start.end(), std::size_t(0));
    std::stable_sort(by_start.begin(), by_start.end(),
                     [&](std::size_t a, std::size_t b) { return bar.notes[a].start < bar.notes[b].start; });
    auto mark = bar.flutter.begin();
    const auto take_marks_until = [&](Fraction place) {
        for (; mark != bar.flutter.end() && mark->at <= place; ++mark)
            flutter_ = mark->on ? Flutter::begun : Flutter::off;
    };
    const auto is_stroke = [](const Ornament& o) { return o.kind == OrnamentKind::tremolo; };
    for (const std::size_t i : by_start) {
        take_marks_until(bar.notes[i].start);
        Note& note = bar.notes[i].note;
        const bool struck = std::any_of(note.ornaments.begin(), note.ornaments.end(), is_stroke) ||
                            (note.articulations & art_flutter);
        if (flutter_ == Flutter::begun)
            flutter_ = struck ? Flutter::struck_notes : Flutter::every_note;
        if (flutter_ == Flutter::every_note || (flutter_ == Flutter::struck_notes && struck)) {
            note.articulations |= art_flutter;
            std::erase_if(note.ornaments, is_stroke);
        }
    }
    take_marks_until(std::max(bar.length, bar.nominal));
}

/// Bars under a measure-repeat sign that the file leaves without notes take those of the bar they repeat.
void PartWalker::repeat_measures(std::size_t index)
{
    const auto back = std::size_t(repeated_bars_);
    if (back == 0 || index < back || !bar_->notes.empty())
        return;
    for (WrittenNote written : part_.bars[index - back].notes) {
        written.note.source.bar = bar_->number;
        bar_->notes.push_back(std::move(written));
    }
}

} // namespace

WrittenPart walk_part(const std::vector<BarNode>& nodes, const std::string& id)
{
    return PartWalker(id).walk(nodes);
}

} // namespace canebrake::musicxml
