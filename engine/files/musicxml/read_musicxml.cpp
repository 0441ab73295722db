// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/read_musicxml.h"

#include "engine/files/musicxml/container.h"
#include "engine/files/musicxml/curves.h"
#include "engine/files/musicxml/order.h"
#include "engine/files/musicxml/play.h"
#include "engine/files/musicxml/text.h"
#include "engine/files/musicxml/walk.h"
#include "engine/line/passages.h"
#include "engine/part/who_plays.h"
#include "models/units/input_error.h"

#include <algorithm>
#include <unordered_map>

namespace canebrake
{

// MusicXML up to 4.0 (W3C Community Group Final Report, 2021). The document is walked once into written bars;
// repeats and jumps, which may stand in any part, give one playing order for all; then each part is played
// out along it.
namespace
{

using namespace musicxml;
using pugi::xml_node;

pugi::xml_document parse(const std::string& text, const std::string& name)
{
    pugi::xml_document document;
    const pugi::xml_parse_result result = document.load_buffer(text.data(), text.size());
    if (result)
        return document;
    const auto offset = std::size_t(std::max<std::ptrdiff_t>(0, result.offset));
    std::string place = name;
    if (text.find('\0') == std::string::npos) // two-byte text: lines cannot be counted by bytes
        place +=
            ":" + std::to_string(1 + std::count(text.begin(),
                                                text.begin() + std::ptrdiff_t(std::min(offset, text.size())),
                                                '\n'));
    throw InputError(place + ": found text that is not well-formed XML (" + lower_case(result.description()) +
                     ", character " + std::to_string(offset) + "), wanted MusicXML");
}

std::vector<std::pair<std::string, std::vector<BarNode>>> bars_by_part(const xml_node& root)
{
    std::vector<std::pair<std::string, std::vector<BarNode>>> parts;
    std::unordered_map<std::string, std::size_t> index;
    const auto part_named = [&](const std::string& id) -> std::vector<BarNode>& {
        const auto [entry, fresh] = index.try_emplace(id, parts.size());
        if (fresh)
            parts.push_back({id, {}});
        return parts[entry->second].second;
    };
    if (std::string_view(root.name()) == "score-partwise") {
        for (const xml_node part : root.children("part")) {
            auto& bars = part_named(part.attribute("id").value());
            for (const xml_node measure : part.children("measure"))
                bars.push_back({measure, measure});
        }
        return parts;
    }
    std::size_t count = 0;
    for (const xml_node measure : root.children("measure")) {
        for (const xml_node part : measure.children("part")) {
            auto& bars = part_named(part.attribute("id").value());
            bars.resize(count, {measure, {}}); // a part that was silent before
            bars.push_back({measure, part});
        }
        ++count;
    }
    return parts;
}

void read_part_list(const xml_node& root, std::vector<WrittenPart>& parts)
{
    for (const xml_node entry : root.child("part-list").children("score-part")) {
        for (WrittenPart& part : parts) {
            if (part.id != entry.attribute("id").value())
                continue;
            part.name = trimmed(entry.child_value("part-name"));
            part.instrument_sound = trimmed(entry.child("score-instrument").child_value("instrument-sound"));
            const int program = whole_number(entry.child("midi-instrument").child_value("midi-program"), 0);
            part.midi_program = program >= 1 && program <= 128 ? program - 1 : -1;
            for (const xml_node each : entry.children("score-instrument"))
                part.players[each.attribute("id").value()] = {trimmed(each.child_value("instrument-name")),
                                                              trimmed(each.child_value("instrument-sound")),
                                                              -1};
            for (const xml_node each : entry.children("midi-instrument"))
                if (const auto found = part.players.find(each.attribute("id").value());
                    found != part.players.end()) {
                    const int own = whole_number(each.child_value("midi-program"), 0);
                    found->second.midi_program = own >= 1 && own <= 128 ? own - 1 : -1;
                }
        }
    }
}

std::string title_of(const xml_node& root)
{
    const std::string work = trimmed(root.child("work").child_value("work-title"));
    const std::string movement = trimmed(root.child_value("movement-title"));
    return work.empty() || movement.empty() ? work + movement : work + ": " + movement;
}

/// What a bar lasts: the longest that any part fills; an empty one by its time signature.
std::vector<Fraction> bar_lengths(const std::vector<WrittenPart>& parts, std::size_t count)
{
    std::vector<Fraction> lengths(count), nominal(count);
    for (const WrittenPart& part : parts) {
        for (std::size_t i = 0; i < part.bars.size(); ++i) {
            lengths[i] = std::max(lengths[i], part.bars[i].length);
            nominal[i] = std::max(nominal[i], part.bars[i].nominal);
        }
    }
    for (std::size_t i = 0; i < count; ++i)
        if (lengths[i].num == 0)
            lengths[i] = nominal[i];
    return lengths;
}

/// What all parts share.
struct Layout {
    std::vector<int> order;
    std::vector<Fraction> lengths;       // written
    std::vector<double> written_starts;  // and, last, the end
    std::vector<Fraction> played_starts; // and, last, the end
    std::vector<Passage> passages;
    std::vector<TempoPoint> tempo;
};

// A damaged length would otherwise ask for years of sound. The longest bars in print (cadenzas without bar
// lines) run to some hundred quarters.
constexpr std::int64_t longest_bar_quarters = 2000;
constexpr std::int64_t longest_piece_quarters = 200'000;

void refuse_endless(const std::vector<WrittenPart>& parts, const Layout& layout, const std::string& name)
{
    for (std::size_t i = 0; i < layout.lengths.size(); ++i) {
        if (layout.lengths[i] <= Fraction{longest_bar_quarters, 1})
            continue;
        const auto part =
            std::find_if(parts.begin(), parts.end(), [&](const WrittenPart& p) { return i < p.bars.size(); });
        throw InputError(name + ": found a bar " + part->bars[i].number + " of " +
                         std::to_string(std::int64_t(layout.lengths[i].value())) +
                         " quarters, wanted at most " + std::to_string(longest_bar_quarters));
    }
    if (layout.played_starts.back() > Fraction{longest_piece_quarters, 1})
        throw InputError(name + ": found a piece of " +
                         std::to_string(std::int64_t(layout.played_starts.back().value())) +
                         " quarters, wanted at most " + std::to_string(longest_piece_quarters));
}

Layout lay_out(const std::vector<WrittenPart>& parts, const std::string& name,
               std::vector<std::string>& remarks)
{
    Layout layout;
    const std::vector<Flow> flow = merged_flow(parts);
    layout.order = playing_order(flow, name, remarks);
    layout.lengths = bar_lengths(parts, flow.size());
    Fraction at;
    for (const Fraction length : layout.lengths) {
        layout.written_starts.push_back(at.value());
        at = at + length;
    }
    layout.written_starts.push_back(at.value());
    at = {};
    for (std::size_t k = 0; k < layout.order.size(); ++k) {
        const auto i = std::size_t(layout.order[k]);
        if (k == 0 || layout.order[k] != layout.order[k - 1] + 1)
            layout.passages.push_back({layout.written_starts[i], 0.0, at.value()});
        layout.played_starts.push_back(at);
        layout.passages.back().to = layout.written_starts[i + 1];
        at = at + layout.lengths[i];
    }
    layout.played_starts.push_back(at);
    refuse_endless(parts, layout, name);
    layout.tempo = replay(written_tempo(parts, layout.written_starts, remarks), layout.passages);
    return layout;
}

/// sf and fp fall on the note that begins there, or the next one within a quarter.
void set_accents(const WrittenPart& part, const Layout& layout, std::vector<Note>& notes)
{
    for (std::size_t k = 0; k < layout.order.size(); ++k) {
        const auto i = std::size_t(layout.order[k]);
        if (i >= part.bars.size())
            continue;
        for (const DynamicMark& mark : part.bars[i].dynamics) {
            if (mark.kind != DynamicMark::sforzando && mark.kind != DynamicMark::forte_piano)
                continue;
            const double at = (layout.played_starts[k] + mark.at).value() - 1e-9;
            auto note = std::lower_bound(notes.begin(), notes.end(), at,
                                         [](const Note& n, double q) { return n.start_quarter < q; });
            while (note != notes.end() && note->grace)
                ++note;
            if (note != notes.end() && note->start_quarter < at + 1.0)
                note->articulations |= mark.kind == DynamicMark::sforzando ? art_sforzando : art_forte_piano;
        }
    }
}

/// All that says who plays, in playing order.
PlayerEvidence evidence_of(const WrittenPart& part, const Layout& layout)
{
    PlayerEvidence evidence;
    evidence.part_name = part.name;
    evidence.sound_id = part.instrument_sound;
    evidence.midi_program = part.midi_program;
    evidence.transposition_known = part.transpose_seen;
    for (const auto& [id, player] : part.players)
        evidence.ids[id] = {player.sound_id, player.name, player.midi_program};
    for (std::size_t k = 0; k < layout.order.size(); ++k) {
        const auto i = std::size_t(layout.order[k]);
        if (i >= part.bars.size())
            continue;
        for (const PlayerMark& mark : part.bars[i].players)
            evidence.marks.push_back({(layout.played_starts[k] + mark.at).value(), mark.text, mark.sound_id,
                                      mark.kind == PlayerMark::words});
    }
    std::stable_sort(evidence.marks.begin(), evidence.marks.end(),
                     [](const auto& a, const auto& b) { return a.quarter < b.quarter; });
    return evidence;
}

void remark_on(const WrittenPart& part, std::vector<std::string>& remarks)
{
    const auto say = [&](const Sighting& seen, const char* one, const char* many, const char* what) {
        if (seen.count > 0)
            remarks.push_back(std::to_string(seen.count) + (seen.count == 1 ? one : many) +
                              " (first in bar " + seen.first_bar + ")" + what);
    };
    say(part.chords, " chord", " chords", ": the top note is played");
    say(part.unpitched, " unpitched note", " unpitched notes", " left out");
    say(part.without_length, " note without length", " notes without length", " left out");
    say(part.unknown_ornaments, " ornament that we do not know", " ornaments that we do not know",
        " played without it");
}

Line play(const WrittenPart& part, const Layout& layout)
{
    Line line;
    line.part_id = part.id;
    line.part_name = part.name;
    line.instrument_sound = part.instrument_sound;
    line.midi_program = part.midi_program;
    line.written_known = part.transpose_seen;
    line.tempo = layout.tempo;
    line.end_quarter = layout.played_starts.back().value();
    for (std::size_t k = 0; k < layout.order.size(); ++k) {
        const auto i = std::size_t(layout.order[k]);
        Bar bar;
        if (i < part.bars.size()) {
            const WrittenBar& written = part.bars[i];
            bar = {written.number, 0.0, 0.0, written.beats, written.beat_type, written.rehearsal};
        } else if (!line.bars.empty()) {
            bar = line.bars.back();
            bar.number = std::to_string(i + 1);
            bar.rehearsal.clear();
        }
        bar.start_quarter = layout.played_starts[k].value();
        bar.length_quarters = layout.lengths[i].value();
        line.bars.push_back(std::move(bar));
    }

    remark_on(part, line.remarks);
    std::vector<Played> notes =
        top_line(play_notes(part, layout.order, layout.played_starts, line.remarks), line.remarks);
    settle_slurs(notes);
    std::vector<double> starts = layout.written_starts;
    line.dynamics = replay(written_dynamics(part, starts, line.remarks), layout.passages);
    line.keys = replay(written_keys(part, starts), layout.passages);
    for (Played& played : notes) {
        played.note.start_quarter = played.start.value();
        played.note.length_quarters = (played.end - played.start).value();
        if (!line.dynamics.empty())
            played.note.velocity.reset();
        line.notes.push_back(std::move(played.note));
    }
    set_accents(part, layout, line.notes);
    line.instruments = who_plays(line.notes, evidence_of(part, layout), line.remarks);
    return line;
}

} // namespace

Score read_musicxml(std::string_view bytes, const std::string& name)
{
    const pugi::xml_document document = parse(unpack(bytes, name), name);
    const xml_node root = document.document_element();
    const std::string_view kind = root.name();
    if (kind != "score-partwise" && kind != "score-timewise")
        throw InputError(name + ": found <" + std::string(kind.substr(0, 60)) +
                         ">, wanted a MusicXML score (<score-partwise> or <score-timewise>)");
    std::vector<WrittenPart> parts;
    bool any_note = false;
    for (const auto& [id, bars] : bars_by_part(root)) {
        parts.push_back(walk_part(bars, id));
        for (const WrittenBar& bar : parts.back().bars)
            any_note = any_note || !bar.notes.empty();
    }
    if (!any_note)
        throw InputError(name + ": found no notes (parts: " + std::to_string(parts.size()) +
                         "), wanted at least one");
    read_part_list(root, parts);

    Score score;
    score.title = title_of(root);
    const Layout layout = lay_out(parts, name, score.remarks);
    for (const WrittenPart& part : parts)
        score.parts.push_back(play(part, layout));
    return score;
}

} // namespace canebrake
