// SPDX-License-Identifier: MIT
#include "cli/read/musicxml_notes.h"

#include "cli/read/musicxml_directions.h"
#include "cli/read/musicxml_text.h"

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

std::optional<double> alter_of_accidental(const std::string& name)
{
    static const std::unordered_map<std::string, double> alters{
        {"sharp", 1},         {"flat", -1},          {"natural", 0},       {"double-sharp", 2},
        {"sharp-sharp", 2},   {"flat-flat", -2},     {"double-flat", -2},  {"natural-sharp", 1},
        {"natural-flat", -1}, {"quarter-sharp", .5}, {"quarter-flat", -.5}};
    const auto found = alters.find(name);
    if (found == alters.end())
        return {};
    return found->second;
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

/// The neighbour one letter up (way 1) or down (-1), as printed: with its own accidental, else the bar's and
/// the key's. In semitones, without a sign; 1 where spelling makes it nothing (E sharp to F).
int neighbour_distance(const Note& note, int octave, double alter, int way, const KeyState& state,
                       std::optional<double> accidental)
{
    const int letter = note.printed_step + way;
    const int step = (letter + 7) % 7;
    const int neighbour_octave = octave + (letter > 6 ? 1 : letter < 0 ? -1 : 0);
    const double neighbour_alter = accidental.value_or(state.alter(step, neighbour_octave));
    const double distance = natural_number(step, neighbour_octave) + neighbour_alter -
                            (natural_number(note.printed_step, octave) + alter);
    return std::max(1, int(std::lround(way * distance)));
}

/// What the letters around a note are, for the distance to an ornament's other notes.
struct Place {
    int octave;
    double alter;
    const KeyState& state;
};

/// The accidentals printed with an ornament, which may stand above and below it.
struct Accidentals {
    std::optional<double> above, below;

    void read(const xml_node& mark)
    {
        (is(mark, "placement", "below") ? below : above) = alter_of_accidental(trimmed(mark.child_value()));
    }
};

/// Those that follow `mark` and belong to it; failing that, `otherwise`.
Accidentals accidentals_after(const xml_node& mark, const Accidentals& otherwise)
{
    Accidentals accidentals;
    bool any = false;
    for (xml_node next = mark.next_sibling(); next; next = next.next_sibling()) {
        const std::string_view name = next.name();
        if (name == "accidental-mark") {
            accidentals.read(next);
            any = true;
        } else if (name != "wavy-line" && next.type() == pugi::node_element) {
            break;
        }
    }
    return any ? accidentals : otherwise;
}

/// A trill, mordent or turn as it is printed, and as its attributes say it should sound. Where those are
/// absent a trill begins with its main note, which players of today do and the standard's default does not.
Ornament read_sign(const xml_node& mark, OrnamentKind kind, Accidentals accidentals, const Note& note,
                   const Place& place)
{
    const bool lower_only = kind == OrnamentKind::mordent;
    if (lower_only && !accidentals.below)
        accidentals.below = accidentals.above;
    int above = neighbour_distance(note, place.octave, place.alter, 1, place.state, accidentals.above);
    int below = neighbour_distance(note, place.octave, place.alter, -1, place.state, accidentals.below);
    const int step = is(mark, "trill-step", "whole") ? 2 : is(mark, "trill-step", "half") ? 1 : 0;
    if (step > 0 && !accidentals.above && !accidentals.below)
        (lower_only ? below : above) = step;

    Ornament ornament{kind, lower_only ? below : above, 0, below};
    static const std::unordered_map<std::string, OrnamentStart> starts{
        {"main", OrnamentStart::main}, {"upper", OrnamentStart::upper}, {"below", OrnamentStart::below}};
    if (const auto start = starts.find(mark.attribute("start-note").value()); start != starts.end())
        ornament.start = start->second;
    if (is(mark, "two-note-turn", "whole") || is(mark, "two-note-turn", "half")) {
        ornament.closing_turn = true;
        ornament.semitones_below = is(mark, "two-note-turn", "whole") ? 2 : 1;
    }
    ornament.accelerate = is(mark, "accelerate", "yes");
    ornament.beats = int(std::clamp(first_number(mark.attribute("beats").value()).value_or(0.0), 0.0, 999.0));
    ornament.extended = is(mark, "long", "yes");
    ornament.delayed = std::string_view(mark.name()).starts_with("delayed");
    return ornament;
}

void read_tremolo(const xml_node& mark, WrittenNote& written)
{
    const int strokes = std::clamp(whole_number(mark.child_value(), 3), 0, 8);
    if (is(mark, "type", "start")) {
        written.two_note_start = true;
        written.strokes = strokes;
    } else if (is(mark, "type", "stop")) {
        written.two_note_stop = true;
    } else if (is(mark, "type", "unmeasured") || strokes == 0) {
        written.note.articulations |= art_flutter; // a roll, on a wind instrument
    } else {
        written.note.ornaments.push_back({OrnamentKind::tremolo, 0, strokes, 1});
    }
}

void read_ornaments(const xml_node& ornaments, const Accidentals& apart, const Place& place,
                    WrittenNote& written, Sighting& unknown, const std::string& bar)
{
    static const std::unordered_map<std::string, OrnamentKind> kinds{
        {"trill-mark", OrnamentKind::trill},
        {"shake", OrnamentKind::trill},
        {"mordent", OrnamentKind::mordent},
        {"inverted-mordent", OrnamentKind::inverted_mordent},
        {"turn", OrnamentKind::turn},
        {"delayed-turn", OrnamentKind::turn},
        {"vertical-turn", OrnamentKind::turn},
        {"inverted-turn", OrnamentKind::inverted_turn},
        {"delayed-inverted-turn", OrnamentKind::inverted_turn},
        {"inverted-vertical-turn", OrnamentKind::inverted_turn}};
    Note& note = written.note;
    xml_node wavy;
    for (const xml_node mark : ornaments.children()) {
        const std::string name = mark.name();
        if (const auto kind = kinds.find(name); kind != kinds.end()) {
            note.ornaments.push_back(
                read_sign(mark, kind->second, accidentals_after(mark, apart), note, place));
        } else if (name == "tremolo") {
            read_tremolo(mark, written);
        } else if (name == "wavy-line") {
            written.wavy_start = written.wavy_start || is(mark, "type", "start");
            written.wavy_stop = written.wavy_stop || is(mark, "type", "stop");
            if (is(mark, "type", "start"))
                wavy = mark;
        } else if (name != "accidental-mark" && mark.type() == pugi::node_element) {
            unknown.see(bar);
        }
    }
    // A wavy line that begins without the letters "tr" is a trill, too.
    const auto is_trill = [](const Ornament& o) { return o.kind == OrnamentKind::trill; };
    if (wavy && std::none_of(note.ornaments.begin(), note.ornaments.end(), is_trill))
        note.ornaments.push_back(
            read_sign(wavy, OrnamentKind::trill, accidentals_after(wavy, apart), note, place));
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

/// One stroke of the note's tremolo: each flag and each stroke halve, tuplets count. 0: the shape is not
/// given. A two-note tremolo's own 2:1 (MusicXML 4.0, tremolo) is no tuplet.
double printed_stroke(const xml_node& node, int strokes, bool two_note)
{
    static const std::unordered_map<std::string, int> flags{{"long", 0}, {"breve", 0},   {"whole", 0},
                                                            {"half", 0}, {"quarter", 0}, {"eighth", 1},
                                                            {"16th", 2}, {"32nd", 3},    {"64th", 4}};
    const auto shape = flags.find(trimmed(node.child_value("type")));
    if (shape == flags.end())
        return 0.0;
    const xml_node tuplet = node.child("time-modification");
    const int actual = std::max(1, whole_number(tuplet.child_value("actual-notes"), 1));
    const int normal = std::max(1, whole_number(tuplet.child_value("normal-notes"), 1));
    const double own = two_note && actual >= 2 * normal ? 2.0 : 1.0;
    return std::ldexp(own * normal / actual, -(shape->second + strokes));
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
    written.above = neighbour_distance(note, octave, alter, 1, state, {});
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
