// SPDX-License-Identifier: MIT
#include "engine/files/midi/read_midi.h"

#include "engine/files/midi/context.h"
#include "engine/files/midi/notes.h"
#include "engine/files/midi/shape.h"
#include "engine/part/who_plays.h"
#include "models/units/input_error.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

namespace canebrake
{
namespace
{

constexpr std::size_t largest_midi_file = std::size_t(64) << 20; // no music needs it; keeps memory bounded

std::array<bool, 16> channels_with_notes(const MidiTrack& track)
{
    std::array<bool, 16> has{};
    for (const MidiEvent& event : track.events)
        if (event.kind() == 0x90 && event.data2 > 0)
            has[std::size_t(event.channel())] = true;
    return has;
}

/// Controllers, bends and programs of a channel: the track's own, and those of tracks that hold no notes
/// (some files keep all their set-up in the first one).
std::vector<MidiEvent> controls_of(const MidiFile& file, const std::vector<std::array<bool, 16>>& has_notes,
                                   std::size_t own, int channel)
{
    std::vector<MidiEvent> controls;
    for (std::size_t t = 0; t < file.tracks.size(); ++t) {
        if (t != own && std::count(has_notes[t].begin(), has_notes[t].end(), true) > 0)
            continue;
        for (const MidiEvent& event : file.tracks[t].events)
            if (event.status < 0xF0 && event.channel() == channel &&
                (event.kind() == 0xB0 || event.kind() == 0xC0 || event.kind() == 0xE0))
                controls.push_back(event);
    }
    std::stable_sort(controls.begin(), controls.end(),
                     [](const MidiEvent& a, const MidiEvent& b) { return a.tick < b.tick; });
    return controls;
}

/// Who plays: the program at each note, and what is said in the track's texts.
PlayerEvidence evidence_of(const MidiFile& file, const MidiTrack& track,
                           const std::vector<MidiEvent>& controls, const std::string& name,
                           std::vector<Note>& notes)
{
    PlayerEvidence evidence;
    evidence.part_name = name;
    std::vector<std::pair<double, int>> programs;
    for (const MidiEvent& event : controls)
        if (event.kind() == 0xC0)
            programs.emplace_back(double(event.tick) / file.ticks_per_quarter, event.data1);
    std::size_t at = 0;
    for (Note& note : notes) {
        while (at < programs.size() && (at == 0 || programs[at].first <= note.start_quarter))
            evidence.midi_program = programs[at++].second;
        if (evidence.midi_program >= 0) {
            note.source.instrument = fmt::format("program {}", evidence.midi_program + 1);
            evidence.ids[note.source.instrument].midi_program = evidence.midi_program;
        }
    }
    for (const MidiEvent& event : track.events) {
        const bool named = (event.is_meta(3) || event.is_meta(4)) && event.tick > 0;
        if (!named && !event.is_meta(1))
            continue;
        const std::string text = clean_text(event.text);
        if (named || may_name_player(text))
            evidence.marks.push_back({double(event.tick) / file.ticks_per_quarter, text, "", !named});
    }
    if (!programs.empty())
        evidence.midi_program = programs.front().second;
    return evidence;
}

void remark_on_voice(Line& line, const OneVoice& voice)
{
    const auto count = [](int n, const char* one) {
        return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s");
    };
    if (voice.chords > 0)
        line.remarks.push_back(fmt::format("{}: the top note taken, {} left out",
                                           count(voice.chords, "chord"), count(voice.left_out, "note")));
    if (voice.stuck > 0)
        line.remarks.push_back(fmt::format("{} never let go: ended at the next note or the end of the track",
                                           count(voice.stuck, "note")));
    const bool slurs =
        std::any_of(voice.notes.begin(), voice.notes.end(), [](const auto& n) { return n.slurred; });
    if (!slurs && voice.notes.size() > 1)
        line.remarks.push_back("no notes overlap and the legato pedal is up: every note taken as tongued");
    if (line.dynamics.empty())
        line.remarks.push_back(
            fmt::format("nothing changes in loudness (velocity {} throughout): no dynamics taken",
                        voice.notes.front().velocity));
}

Line read_part(const MidiFile& file, const MidiContext& context, const std::vector<MidiEvent>& controls,
               const MidiTrack& track, int channel, const KeySignatures& keys)
{
    const double per_quarter = file.ticks_per_quarter;
    // A 128th note: closer than that, two events are meant to be one.
    const auto tolerance = std::int64_t(per_quarter / 32.0);
    const OneVoice voice = one_voice(key_presses(track, channel), controls, tolerance);

    Line line;
    line.part_name = first_text(track, 3);
    if (line.part_name.empty())
        line.part_name = first_text(track, 4);
    line.tempo = context.tempo;
    auto key = keys.begin();
    for (const KeyPress& press : voice.notes) {
        while (key != keys.end() && key + 1 != keys.end() && (key + 1)->first <= press.on)
            ++key;
        Note& note = line.notes.emplace_back();
        note.start_quarter = double(press.on) / per_quarter;
        note.length_quarters = double(press.off - press.on) / per_quarter;
        note.sounding.number = press.key;
        note.printed = press.key;
        const Spelling name = key == keys.end() ? spell(press.key) : spell(press.key, key->second);
        note.printed_step = name.step;
        note.printed_alter = name.alter;
        note.slurred_to_next = press.slurred;
        note.velocity = press.velocity;
        note.source.voice = std::to_string(channel + 1);
        note.source.id = fmt::format("track {} event {}", track.number, press.event);
    }
    line.end_quarter = double(voice.notes.back().off) / per_quarter;
    line.bars = midi_bars(context.signatures, line.end_quarter);
    place_in_bars(line);
    line.dynamics = midi_dynamics(voice.notes, controls, per_quarter);
    line.bends = midi_bends(controls, per_quarter);
    line.keys = midi_keys(keys, per_quarter);
    line.remarks = track.remarks;
    const PlayerEvidence evidence = evidence_of(file, track, controls, line.part_name, line.notes);
    line.midi_program = evidence.midi_program;
    line.instruments = who_plays(line.notes, evidence, line.remarks);
    if (evidence.ids.size() > 1 && line.instruments.size() < 2)
        line.remarks.push_back("the program changes; the first one counts");
    remark_on_voice(line, voice);
    return line;
}

} // namespace

Score read_midi(std::string_view bytes, const std::string& name)
{
    if (bytes.size() > largest_midi_file)
        throw InputError(fmt::format("{}: found a MIDI file of {} MB, wanted at most {}", name,
                                     bytes.size() >> 20, largest_midi_file >> 20));
    const MidiFile file = parse_midi_file(bytes, name);
    const MidiContext context = midi_context(file);
    std::vector<std::array<bool, 16>> has_notes;
    std::array<int, 16> parts_on_channel{};
    KeySignatures first_keys; // a key signature may stand in another track than the notes
    for (const MidiTrack& track : file.tracks) {
        has_notes.push_back(channels_with_notes(track));
        for (std::size_t c = 0; c < 16; ++c)
            parts_on_channel[c] += has_notes.back()[c] ? 1 : 0;
        if (first_keys.empty())
            first_keys = key_signatures(track);
    }

    Score score;
    score.remarks = file.remarks;
    score.remarks.insert(score.remarks.end(), context.remarks.begin(), context.remarks.end());
    for (std::size_t t = 0; t < file.tracks.size(); ++t) {
        const MidiTrack& track = file.tracks[t];
        const auto channels = std::count(has_notes[t].begin(), has_notes[t].end(), true);
        if (channels == 0) {
            score.remarks.insert(score.remarks.end(), track.remarks.begin(), track.remarks.end());
            continue;
        }
        const KeySignatures own_keys = key_signatures(track);
        const bool by_channel = channels > 1 || (file.format == 0 && file.tracks.size() == 1);
        for (int c = 0; c < 16; ++c) {
            if (!has_notes[t][std::size_t(c)])
                continue;
            Line line = read_part(file, context, controls_of(file, has_notes, t, c), track, c,
                                  own_keys.empty() ? first_keys : own_keys);
            line.part_id = !by_channel ? fmt::format("track {}", track.number)
                           : parts_on_channel[std::size_t(c)] == 1
                               ? fmt::format("channel {}", c + 1)
                               : fmt::format("track {} channel {}", track.number, c + 1);
            score.parts.push_back(std::move(line));
        }
    }
    if (score.parts.empty())
        throw InputError(name + ": found no notes in the MIDI file");
    if (file.format == 0 || std::count(has_notes[0].begin(), has_notes[0].end(), true) == 0)
        score.title = first_text(file.tracks[0], 3);
    return score;
}

} // namespace canebrake
