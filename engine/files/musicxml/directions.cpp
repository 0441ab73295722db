// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/directions.h"

#include "engine/files/musicxml/text.h"
#include "engine/part/who_plays.h"

#include <cmath>
#include <optional>
#include <set>
#include <unordered_map>

namespace canebrake::musicxml
{

namespace
{

using pugi::xml_node;

constexpr double fastest_qpm = 2000.0;

/// Ladder level of a dynamic's letters: "ppp" 0 … "fff" 7, "n" niente. Longer rows stay at the ends.
std::optional<double> ladder_level(const std::string& letters)
{
    static const std::unordered_map<std::string, double> levels{{"n", -1}, {"ppp", 0}, {"pp", 1},   {"p", 2},
                                                                {"mp", 3}, {"mf", 4},  {"pf", 4.5}, {"f", 5},
                                                                {"ff", 6}, {"fff", 7}};
    const auto found = levels.find(letters);
    if (found != levels.end())
        return found->second;
    if (letters.size() > 3 && letters.find_first_not_of('p') == std::string::npos)
        return 0.0;
    if (letters.size() > 3 && letters.find_first_not_of('f') == std::string::npos)
        return 7.0;
    return {};
}

void add_dynamic(const std::string& letters, Fraction at, WrittenBar& bar)
{
    static const std::set<std::string> accents{"sf", "sfz", "fz", "rf", "rfz", "sffz", "sfzz", "sfffz"};
    if (const auto level = ladder_level(letters)) {
        bar.dynamics.push_back({at, DynamicMark::level, *level});
    } else if (accents.contains(letters)) {
        bar.dynamics.push_back({at, DynamicMark::sforzando});
    } else if (letters == "fp" || letters == "ffp" || letters == "sfp" || letters == "sfpp" ||
               letters == "sfzp") {
        bar.dynamics.push_back({at, DynamicMark::forte_piano});
        bar.dynamics.push_back({at, DynamicMark::level, letters == "sfpp" ? 1.0 : 2.0});
    }
}

void read_words(const std::string& text, Fraction at, WrittenBar& bar)
{
    static const std::set<std::string> louder{"cresc", "crescendo"};
    static const std::set<std::string> softer{"dim",     "dimin", "diminuendo", "decresc",   "decrescendo",
                                              "morendo", "smorz", "smorzando",  "perdendosi"};
    static const std::set<std::string> slower{"rit",      "ritard",     "ritardando", "riten",
                                              "ritenuto", "rall",       "rallent",    "rallentando",
                                              "allarg",   "allargando", "slarg",      "slargando"};
    static const std::set<std::string> quicker{"accel", "accelerando", "string", "stringendo", "stretto"};
    const std::vector<std::string> words = words_of(text);
    const std::string said = trimmed(text);
    for (std::size_t i = 0; i < words.size(); ++i) {
        const std::string word = lower_case(words[i]);
        const std::string next = i + 1 < words.size() ? lower_case(words[i + 1]) : "";
        if (louder.contains(word))
            bar.dynamics.push_back({at, DynamicMark::words, 1.0});
        else if (softer.contains(word))
            bar.dynamics.push_back({at, DynamicMark::words, -1.0});
        else if (slower.contains(word))
            bar.tempo.push_back({at, TempoMark::slowing, 0.0, said});
        else if (quicker.contains(word))
            bar.tempo.push_back({at, TempoMark::quickening, 0.0, said});
        else if ((word == "a" || word == "in") && next == "tempo")
            bar.tempo.push_back({at, TempoMark::a_tempo, 0.0, said});
        else if (word == "tempo" && (next == "i" || next == "primo" || next == "1"))
            bar.tempo.push_back({at, TempoMark::first_tempo, 0.0, said});
        else if (word != "n" && ladder_level(words[i])) // small letters only: "in F" is no forte
            add_dynamic(word, at, bar);
    }
    if (may_name_player(text))
        bar.players.push_back({at, PlayerMark::words, said, ""});
    if (const auto flutter = flutter_words(text))
        bar.flutter.push_back({at, *flutter});
    const std::string low = lower_case(said);
    if (low.starts_with("d.c") || low.starts_with("d.s") || low.find("da capo") != std::string::npos ||
        low.find("dal segno") != std::string::npos)
        bar.flow.jump_words = said;
}

/// Quarters in a metronome's beat unit.
double beat_unit_quarters(const std::string& unit, int dots)
{
    static const std::unordered_map<std::string, double> units{
        {"maxima", 32}, {"long", 16},  {"breve", 8},   {"whole", 4},    {"half", 2},      {"quarter", 1},
        {"eighth", .5}, {"16th", .25}, {"32nd", .125}, {"64th", .0625}, {"128th", .03125}};
    const auto found = units.find(unit);
    return (found == units.end() ? 1.0 : found->second) * (2.0 - std::ldexp(1.0, -std::min(dots, 4)));
}

void read_metronome(const xml_node& metronome, Fraction at, WrittenBar& bar)
{
    std::vector<std::pair<std::string, int>> units;
    for (const xml_node child : metronome.children()) {
        const std::string_view name = child.name();
        if (name == "beat-unit")
            units.emplace_back(trimmed(child.child_value()), 0);
        else if (name == "beat-unit-dot" && !units.empty())
            ++units.back().second;
    }
    if (units.empty())
        return;
    const double quarters = beat_unit_quarters(units[0].first, units[0].second);
    if (const auto beats = first_number(metronome.child_value("per-minute"))) {
        const double qpm = *beats * quarters;
        if (qpm > 0.0 && qpm <= fastest_qpm)
            bar.tempo.push_back({at, TempoMark::number, qpm, ""});
    } else if (units.size() > 1) { // old note value = new note value
        bar.tempo.push_back(
            {at, TempoMark::modulation, beat_unit_quarters(units[1].first, units[1].second) / quarters, ""});
    }
}

std::vector<int> ending_numbers(const char* text)
{
    std::vector<int> numbers;
    int value = 0;
    bool in_number = false, range = false;
    const auto finish = [&] {
        if (!in_number)
            return;
        const int from = range && !numbers.empty() ? numbers.back() + 1 : value;
        for (int n = from; n <= value && numbers.size() < 100; ++n)
            numbers.push_back(n);
        in_number = range = false;
        value = 0;
    };
    for (const char* c = text; *c; ++c) {
        if (*c >= '0' && *c <= '9') {
            in_number = true;
            value = std::min(10000, value * 10 + (*c - '0'));
        } else {
            finish();
            range = range || *c == '-';
        }
    }
    finish();
    return numbers;
}

} // namespace

std::optional<bool> flutter_words(const std::string& text)
{
    static const std::set<std::string> on{"flutter",  "fluttertongue", "fluttertongued", "fluttertonguing",
                                          "flz",      "fltz",          "flttzg",         "flatt",
                                          "flatterz", "flatterzg",     "flatterzunge",   "frull",
                                          "frullato", "frullati",      "frulato"};
    static const std::set<std::string> off{"ord",     "ordinario", "ordinary", "norm",    "normal",
                                           "normale", "nat",       "natural",  "naturale"};
    static const std::set<std::string> without{"no", "non", "not", "senza", "ohne", "sans", "without"};
    std::optional<bool> said;
    std::string before;
    for (const std::string& each : words_of(text)) {
        const std::string word = lower_case(each);
        if (on.contains(word))
            said = !without.contains(before);
        else if (off.contains(word))
            said = false;
        before = word;
    }
    return said;
}

void read_dynamics(const xml_node& dynamics, Fraction at, WrittenBar& bar)
{
    for (const xml_node mark : dynamics.children()) {
        if (std::string_view(mark.name()) != "other-dynamics") {
            add_dynamic(mark.name(), at, bar);
            continue;
        }
        for (const std::string& word : words_of(mark.child_value()))
            add_dynamic(lower_case(word), at, bar);
    }
}

void read_sound(const xml_node& sound, Fraction at, WrittenBar& bar)
{
    if (const auto qpm = first_number(sound.attribute("tempo").value());
        qpm && *qpm > 0 && *qpm <= fastest_qpm)
        bar.tempo.push_back({at, TempoMark::number, *qpm, ""});
    if (const auto percent = first_number(sound.attribute("dynamics").value()); percent && *percent >= 0)
        bar.dynamics.push_back({at, DynamicMark::percent, *percent});
    const auto yes = [&](const char* name) {
        return std::string_view(sound.attribute(name).value()) == "yes";
    };
    const auto named = [&](const char* attribute, std::string& name) {
        if (const auto a = sound.attribute(attribute))
            name = *a.value() ? a.value() : attribute;
    };
    for (const xml_node change : sound.children("instrument-change"))
        if (const std::string id = trimmed(change.child_value("instrument-sound")); !id.empty())
            bar.players.push_back({at, PlayerMark::sign, "", id});
    Flow& flow = bar.flow;
    flow.da_capo = flow.da_capo || yes("dacapo");
    flow.fine = flow.fine || sound.attribute("fine");
    flow.forward = flow.forward || yes("forward-repeat");
    named("segno", flow.segno);
    named("coda", flow.coda);
    named("dalsegno", flow.dal_segno);
    named("tocoda", flow.to_coda);
}

void read_new_name(const xml_node& print, Fraction at, WrittenBar& bar)
{
    std::string name;
    for (const xml_node piece : print.child("part-name-display").children()) {
        const std::string_view kind = piece.name();
        if (kind == "display-text")
            name += piece.child_value();
        else if (kind == "accidental-text")
            name += std::string_view(piece.child_value()) == "flat" ? "♭" : "";
    }
    if (!trimmed(name).empty())
        bar.players.push_back({at, PlayerMark::name, trimmed(name), ""});
}

void read_direction(const xml_node& direction, Fraction at, WrittenBar& bar)
{
    const xml_node sound = direction.child("sound");
    for (const xml_node type : direction.children("direction-type")) {
        for (const xml_node mark : type.children()) {
            const std::string_view name = mark.name();
            if (name == "dynamics") {
                read_dynamics(mark, at, bar);
            } else if (name == "wedge") {
                const std::string_view what = mark.attribute("type").value();
                DynamicMark wedge{at, DynamicMark::wedge_start, 1.0,
                                  whole_number(mark.attribute("number").value(), 1),
                                  std::string_view(mark.attribute("niente").value()) == "yes"};
                if (what == "stop")
                    wedge.kind = DynamicMark::wedge_stop;
                else if (what == "diminuendo")
                    wedge.value = -1.0;
                else if (what != "crescendo")
                    continue;
                bar.dynamics.push_back(wedge);
            } else if (name == "words") {
                read_words(mark.child_value(), at, bar);
            } else if (name == "metronome" && !sound.attribute("tempo")) {
                read_metronome(mark, at, bar);
            } else if (name == "rehearsal") {
                bar.rehearsal = trimmed(mark.child_value());
            }
        }
    }
    if (sound)
        read_sound(sound, at, bar);
}

void read_barline(const xml_node& barline, WrittenBar& bar, WrittenBar* next_bar)
{
    const bool left = std::string_view(barline.attribute("location").value()) == "left";
    if (const xml_node repeat = barline.child("repeat")) {
        if (std::string_view(repeat.attribute("direction").value()) == "forward") {
            if (left)
                bar.flow.forward = true;
            else if (next_bar)
                next_bar->flow.forward = true;
        } else {
            bar.flow.backward = true;
            bar.flow.times = whole_number(repeat.attribute("times").value(), 0);
            bar.flow.after_jump = std::string_view(repeat.attribute("after-jump").value()) == "yes";
        }
    }
    for (const xml_node ending : barline.children("ending")) {
        if (std::string_view(ending.attribute("type").value()) != "start") {
            bar.flow.ending_stop = true;
            continue;
        }
        bar.flow.ending_start = true;
        bar.flow.ending_numbers = ending_numbers(ending.attribute("number").value());
        if (bar.flow.ending_numbers.empty())
            bar.flow.ending_numbers = ending_numbers(ending.child_value());
    }
    for (const auto& [attribute, name] : {std::pair{"segno", &bar.flow.segno}, {"coda", &bar.flow.coda}})
        if (const auto a = barline.attribute(attribute))
            *name = *a.value() ? a.value() : attribute;
}

} // namespace canebrake::musicxml
