// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/ornaments.h"

#include "engine/files/musicxml/text.h"

#include <algorithm>
#include <cmath>
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
    int above = neighbour_distance(note, place, 1, accidentals.above);
    int below = neighbour_distance(note, place, -1, accidentals.below);
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

} // namespace

void Accidentals::read(const xml_node& mark)
{
    (is(mark, "placement", "below") ? below : above) = alter_of_accidental(trimmed(mark.child_value()));
}

int neighbour_distance(const Note& note, const Place& place, int way, std::optional<double> accidental)
{
    const int letter = note.printed_step + way;
    const int step = (letter + 7) % 7;
    const int neighbour_octave = place.octave + (letter > 6 ? 1 : letter < 0 ? -1 : 0);
    const double neighbour_alter = accidental.value_or(place.state.alter(step, neighbour_octave));
    const double distance = natural_number(step, neighbour_octave) + neighbour_alter -
                            (natural_number(note.printed_step, place.octave) + place.alter);
    return std::max(1, int(std::lround(way * distance)));
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

} // namespace canebrake::musicxml
