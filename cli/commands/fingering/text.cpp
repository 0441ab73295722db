// SPDX-License-Identifier: MIT
#include "cli/commands/fingering/text.h"
#include "engine/fingering/diagram.h"
#include "engine/telling/finger_words.h"

#include <fmt/format.h>

#include <cmath>
#include <sstream>

namespace canebrake
{
namespace
{

constexpr std::size_t widest = 80;
constexpr std::size_t text_column = 13; // where the words after a label begin

/// "pitch        +3 cents …", folded at blanks under its own beginning.
std::string labelled(const std::string& label, const std::string& words)
{
    std::string text, line = fmt::format(" {:<{}}", label, text_column - 1);
    bool first = true;
    std::istringstream in(words);
    for (std::string word; in >> word;) {
        if (!first && line.size() + 1 + word.size() > widest) {
            text += line + "\n";
            line = std::string(text_column, ' ');
            first = true;
        }
        line += (first ? "" : " ") + word;
        first = false;
    }
    return text + line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
}

std::string without_signs(std::string text)
{
    for (const auto& [sign, word] : {std::pair{"♭", "-flat"}, std::pair{"♯", "-sharp"}})
        for (auto at = text.find(sign); at != std::string::npos; at = text.find(sign))
            text.replace(at, std::string(sign).size(), word);
    return text;
}

std::string heading(const std::string& words, const Instrument& instrument, bool utf8)
{
    return words + " (" + (utf8 ? instrument.title : without_signs(instrument.title)) + ")\n";
}

std::string both_names(const AskedNote& note)
{
    return note.written_name + " written, " + note.sounding_name + " sounding";
}

std::string per_second(double notes)
{
    return fmt::format("{:.1f} notes a second (sixteenths at quarter = {:.0f})", notes,
                       tempo_in_sixteenths(notes));
}

std::string colour_in_words(const FingeringSound& sound, const FingeringSound& primary)
{
    const double louder = sound.level_db - primary.level_db;
    std::string level;
    if (std::abs(louder) >= 1.0)
        level = fmt::format(", {:.0f} dB {}", std::abs(louder), louder > 0.0 ? "louder" : "softer");
    return fmt::format("{}: centroid {:.0f} Hz against {:.0f} Hz{}", word(colour_against(sound, primary)),
                       sound.centroid_hz, primary.centroid_hz, level);
}

std::string way_text(const NoteWay& way, std::size_t number, const NoteWay& primary,
                     const Instrument& instrument, bool utf8)
{
    const FingeringSound& sound = way.sound;
    std::string text = "\n" + labelled(fmt::format("way {}", number), named_use(way.fingering, way.when));
    text += labelled("keys", keys_in_words(way.hands));
    text += text_diagram(instrument, way.fingering, way.hands.front(), utf8);
    text += labelled("open", holes_in_words(instrument.geometry, open_holes(instrument, way.fingering)));
    if (!sound.speaks)
        return text + labelled("sound", "held at mf it does not stay on its note in the model");
    text += labelled("pitch", fmt::format("{} cents at mf, {} at pp, {} at ff, before the lip corrects",
                                          cents_in_words(sound.cents), cents_in_words(sound.soft_cents),
                                          cents_in_words(sound.loud_cents)));
    text += labelled("colour", number == 1 ? fmt::format("centroid {:.0f} Hz at mf", sound.centroid_hz)
                                           : colour_in_words(sound, primary.sound));
    return text;
}

std::string text_of(const NoteAnswer& answer, const Instrument& instrument, bool utf8)
{
    std::string text = heading(both_names(answer.note), instrument, utf8);
    for (std::size_t i = 0; i < answer.ways.size(); ++i)
        text += way_text(answer.ways[i], i + 1, answer.ways.front(), instrument, utf8);
    return text + "\n" + diagram_legend(instrument, utf8);
}

std::string fingers_in_words(const Transition& moves)
{
    std::string text;
    for (const bool left : {true, false}) {
        bool any = false;
        for (const FingerMove& m : moves.moves())
            if (is_left(m.finger) == left) {
                text += labelled(any    ? ""
                                 : left ? "left hand"
                                        : "right hand",
                                 finger_alone(m.finger) + " " + move_in_words(m));
                any = true;
            }
        if (!any)
            text += labelled(left ? "left hand" : "right hand", "stays");
    }
    return text;
}

std::string remarks(const SlurAnswer& answer)
{
    const Transition& moves = answer.usual.moves;
    std::string text;
    const auto say = [&](const std::string& words) { text += (text.empty() ? "" : "; ") + words; };
    if (answer.over_the_break)
        say("over the break");
    else if (answer.other_register)
        say("into another register");
    if (answer.other_register && answer.to.written < answer.from.written &&
        answer.from.written.number - answer.to.written.number > 4)
        say("downward the old register tends to hang on");
    if (moves.same_hand_contrary())
        say("fingers of one hand go against each other");
    if (moves.hands_contrary())
        say("one hand goes down as the other comes up");
    if (moves.little_finger_slide())
        say("a little finger slides from key to key");
    return text;
}

std::string pair_in_words(const Candidate& from, const Candidate& to, const SlurAnswer& answer)
{
    return answer.from.written_name + " with " + keys_in_words(from.hands) + "; " + answer.to.written_name +
           " with " + keys_in_words(to.hands);
}

std::string held_in_words(const TrillWay& way)
{
    const Hands held = held_through(way);
    return held == Hands{} ? "hold nothing" : "hold " + keys_in_words(held);
}

std::string trill_words(const TrillWay& way)
{
    const Transition moves(way.lower.hands, way.upper.hands);
    return held_in_words(way) + "; " + trilled_in_words(moves);
}

std::string text_of(const SlurAnswer& answer, const Instrument& instrument, bool utf8)
{
    const SlurWay& usual = answer.usual;
    const auto& holes = instrument.geometry;
    const std::uint32_t before = open_holes(instrument, usual.from.fingering),
                        after = open_holes(instrument, usual.to.fingering);
    std::string text =
        heading(fmt::format("{} to {} written, {} to {} sounding", answer.from.written_name,
                            answer.to.written_name, answer.from.sounding_name, answer.to.sounding_name),
                instrument, utf8);
    text += "\n" + labelled(answer.from.written_name, keys_in_words(usual.from.hands));
    text += text_diagram(instrument, usual.from.fingering, usual.from.hands, utf8);
    text += labelled(answer.to.written_name, keys_in_words(usual.to.hands));
    text += text_diagram(instrument, usual.to.fingering, usual.to.hands, utf8);
    text += "\n" + fingers_in_words(usual.moves);
    text += labelled("opens", holes_in_words(holes, after & ~before));
    text += labelled("closes", holes_in_words(holes, before & ~after));
    text += labelled("effort", fmt::format("{:.1f} (one finger up or down is 1)", usual.moves.effort()));
    text += labelled(
        "easy",
        "up to " + per_second(usual.speed.easy) +
            (usual.speed.limit == SlurLimit::fingers ? "" : ": " + limit_in_words(usual.speed.limit)));
    text += labelled("awkward", "up to " + per_second(usual.speed.awkward) + ", risky beyond");
    if (const std::string words = remarks(answer); !words.empty())
        text += labelled("mind", words);
    for (const Stray& slip : answer.slips)
        text += labelled(&slip == &answer.slips.front() ? "a slip" : "",
                         fmt::format("{} {}: something near {} between the two", name(slip.finger),
                                     slip.early ? "early" : "late", pitch_name(slip.written)));
    if (answer.with_lever)
        text += labelled(
            "kit", fmt::format("with a left A-flat/E-flat lever: effort {:.1f}, easy up to {:.1f} notes a "
                               "second",
                               answer.with_lever->moves.effort(), answer.with_lever->speed.easy));
    text += "\n";
    for (const SlurWay& way : answer.better)
        text += labelled(&way == &answer.better.front() ? "less work" : "or",
                         fmt::format("{}: effort {:.1f}, easy up to {:.1f} notes a second",
                                     pair_in_words(way.from, way.to, answer), way.moves.effort(),
                                     way.speed.easy));
    if (answer.better.empty())
        text += labelled("less work", "no other fingering of the two makes it clearly easier");
    for (const TrillWay& way : answer.rocking)
        text +=
            labelled("to and fro", fmt::format("easier as a trill: {}: effort {:.1f}, up to {:.0f} notes a "
                                               "second, the interval {} cents",
                                               trill_words(way), way.effort, way.notes_per_s,
                                               cents_in_words(way.error_cents)));
    return text + "\n" + diagram_legend(instrument, utf8);
}

std::string grade_in_words(const TrillWay& way)
{
    std::string text = word(way.grade);
    const auto why = reasons(way);
    for (std::size_t i = 0; i < why.size(); ++i)
        text += (i == 0 ? ": " : "; ") + why[i];
    return text;
}

std::string trill_figures(const TrillWay& way)
{
    return labelled("interval",
                    fmt::format("{} cents against equal temperament", cents_in_words(way.error_cents))) +
           labelled("speed", fmt::format("up to {:.0f} notes a second, a learner {:.0f}", way.notes_per_s,
                                         learner_share * way.notes_per_s)) +
           labelled("grade", grade_in_words(way));
}

std::string text_of(const TrillAnswer& answer, const Instrument& instrument, bool utf8)
{
    const int apart = answer.upper.written.number - answer.lower.written.number;
    std::string text =
        heading(fmt::format("{} {} and {} written, {} and {} sounding", apart <= 2 ? "trill" : "tremolo",
                            answer.lower.written_name, answer.upper.written_name, answer.lower.sounding_name,
                            answer.upper.sounding_name),
                instrument, utf8);
    for (std::size_t i = 0; i < answer.ways.size(); ++i) {
        const TrillWay& way = answer.ways[i];
        text += "\n" + labelled(i == 0 ? "best" : fmt::format("or {}", i), held_in_words(way));
        text += labelled("moves", trilled_in_words(Transition(way.lower.hands, way.upper.hands)));
        text += trill_figures(way);
        text += labelled(answer.lower.written_name, "");
        text += text_diagram(instrument, way.lower.fingering, way.lower.hands, utf8);
        text += labelled(answer.upper.written_name, "");
        text += text_diagram(instrument, way.upper.fingering, way.upper.hands, utf8);
    }
    if (answer.articulated)
        text += "\n" + labelled("kit", fmt::format("with an articulated C-sharp/G-sharp key: {}, {}",
                                                   trill_words(*answer.articulated),
                                                   word(answer.articulated->grade)));
    return text + "\n" + diagram_legend(instrument, utf8);
}

} // namespace

std::string fingering_text(const FingeringAnswer& answer, const Instrument& instrument, bool utf8)
{
    return std::visit([&](const auto& found) { return text_of(found, instrument, utf8); }, answer);
}

} // namespace canebrake
