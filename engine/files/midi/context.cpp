// SPDX-License-Identifier: MIT
#include "engine/files/midi/context.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <map>

namespace canebrake
{

MidiContext midi_context(const MidiFile& file)
{
    std::map<std::int64_t, double> tempo;
    std::map<std::int64_t, TimeSignature> signatures;
    int bad_tempos = 0, bad_signatures = 0;
    for (const MidiTrack& track : file.tracks)
        for (const MidiEvent& event : track.events) {
            const auto byte = [&](std::size_t i) { return static_cast<std::uint8_t>(event.text[i]); };
            if (event.is_meta(0x51) && !file.clock_time) {
                const int us = event.text.size() == 3 ? byte(0) << 16 | byte(1) << 8 | byte(2) : 0;
                if (us >= 30000) // 2000 quarters a minute: faster is damage, not music
                    tempo[event.tick] = 60e6 / us;
                else
                    ++bad_tempos;
            }
            if (event.is_meta(0x58)) {
                if (event.text.size() >= 2 && byte(0) > 0 && byte(1) <= 6)
                    signatures[event.tick] = {event.tick / file.ticks_per_quarter, byte(0), 1 << byte(1)};
                else
                    ++bad_signatures;
            }
        }
    MidiContext context;
    if (tempo.empty() || tempo.begin()->first > 0)
        context.tempo.push_back({0.0, 120.0, false});
    for (const auto& [tick, qpm] : tempo)
        if (context.tempo.empty() || context.tempo.back().quarters_per_minute != qpm)
            context.tempo.push_back({tick / file.ticks_per_quarter, qpm, false});
    if (signatures.empty() || signatures.begin()->first > 0)
        context.signatures.push_back({});
    for (const auto& [tick, signature] : signatures)
        if (context.signatures.empty() || context.signatures.back().beats != signature.beats ||
            context.signatures.back().beat_type != signature.beat_type)
            context.signatures.push_back(signature);

    if (file.clock_time)
        context.remarks.push_back("time is counted in frames: a quarter is taken as half a second");
    else if (tempo.empty())
        context.remarks.push_back("no tempo in the file: 120 quarters a minute taken, the MIDI default");
    if (signatures.empty())
        context.remarks.push_back("no time signature in the file: bars counted in 4/4");
    if (bad_tempos > 0)
        context.remarks.push_back(fmt::format("tempo events without a usable tempo skipped: {}", bad_tempos));
    if (bad_signatures > 0)
        context.remarks.push_back(fmt::format("time signatures that are none skipped: {}", bad_signatures));
    return context;
}

std::vector<Bar> midi_bars(const std::vector<TimeSignature>& signatures, double end_quarter,
                           std::size_t max_bars)
{
    std::vector<Bar> bars;
    double at = 0.0;
    for (std::size_t i = 0; i < signatures.size(); ++i) {
        const TimeSignature& signature = signatures[i];
        const double length = 4.0 * signature.beats / signature.beat_type;
        const double until =
            i + 1 < signatures.size() ? std::min(signatures[i + 1].quarter, end_quarter) : end_quarter;
        const double from = at; // counted from here, not summed: no rounding piles up
        for (int k = 0; at < until - 1e-9 && bars.size() < max_bars; ++k) {
            const double start = from + k * length;
            const bool cut_short =
                i + 1 < signatures.size() && start + length > signatures[i + 1].quarter + 1e-9;
            at = cut_short ? signatures[i + 1].quarter : start + length;
            bars.push_back({std::to_string(bars.size() + 1),
                            start,
                            at - start,
                            signature.beats,
                            signature.beat_type,
                            {}});
        }
    }
    if (!bars.empty() && at < end_quarter - 1e-9)
        bars.back().length_quarters = end_quarter - bars.back().start_quarter;
    return bars;
}

KeySignatures key_signatures(const MidiTrack& track)
{
    KeySignatures keys;
    for (const MidiEvent& event : track.events)
        if (event.is_meta(0x59) && !event.text.empty()) {
            const int sharps = static_cast<signed char>(event.text[0]);
            if (sharps >= -7 && sharps <= 7)
                keys.emplace_back(event.tick, sharps);
        }
    return keys;
}

std::vector<KeyPoint> midi_keys(const KeySignatures& signatures, double ticks_per_quarter)
{
    std::vector<KeyPoint> keys;
    for (const auto& [tick, sharps] : signatures) {
        const double quarter = double(tick) / ticks_per_quarter;
        if (!keys.empty() && keys.back().quarter == quarter) // the later of two at one spot counts
            keys.pop_back();
        if (keys.empty() || keys.back().fifths != sharps)
            keys.push_back({quarter, sharps});
    }
    return keys;
}

Spelling spell(int note_number)
{
    static constexpr std::array<Spelling, 12> with_sharps{
        {{0, 0}, {0, 1}, {1, 0}, {1, 1}, {2, 0}, {3, 0}, {3, 1}, {4, 0}, {4, 1}, {5, 0}, {5, 1}, {6, 0}}};
    return with_sharps[std::size_t(note_number % 12)];
}

Spelling spell(int note_number, int key_sharps)
{
    // Names in a row of fifths, C = 0: F −1, G 1, … A sharp is seven to the right, a flat seven to the left.
    static constexpr std::array<int, 7> steps_from_f{3, 0, 4, 1, 5, 2, 6};
    const int lowest = key_sharps - 3;
    const int wanted = note_number % 12 * 7 % 12; // a fifth is 7 semitones, and 7·7 = 49 = 1 modulo 12
    const int fifths = lowest + ((wanted - lowest) % 12 + 12) % 12;
    const int from_f = fifths + 1;
    const int column = (from_f % 7 + 7) % 7;
    return {steps_from_f[std::size_t(column)], (from_f - column) / 7};
}

std::string clean_text(std::string_view raw)
{
    raw = raw.substr(0, raw.find('\0'));
    // Is it UTF-8? Count the continuation bytes each leading byte asks for.
    bool utf8 = true;
    for (std::size_t i = 0; i < raw.size() && utf8; ++i) {
        const auto lead = static_cast<std::uint8_t>(raw[i]);
        const std::size_t more = lead < 0x80                   ? 0
                                 : lead >= 0xC2 && lead < 0xE0 ? 1
                                 : lead >= 0xE0 && lead < 0xF0 ? 2
                                 : lead >= 0xF0 && lead < 0xF5 ? 3
                                                               : 4;
        utf8 = more < 4 && i + more < raw.size();
        for (std::size_t k = 1; utf8 && k <= more; ++k)
            utf8 = (static_cast<std::uint8_t>(raw[i + k]) & 0xC0) == 0x80;
        i += utf8 ? more : 0;
    }
    std::string text;
    for (const char c : raw) {
        const auto b = static_cast<std::uint8_t>(c);
        if (b < 0x20 || b == 0x7F)
            text += ' ';
        else if (b < 0x80 || utf8)
            text += c;
        else if (b >= 0xA0) {
            text += char(0xC0 | b >> 6);
            text += char(0x80 | (b & 0x3F));
        }
    }
    std::size_t end = std::min<std::size_t>(text.size(), 200);
    while (end < text.size() && end > 0 && (static_cast<std::uint8_t>(text[end]) & 0xC0) == 0x80)
        --end; // not inside a character
    text.resize(end);
    const std::size_t first = text.find_first_not_of(' ');
    return first == std::string::npos ? "" : text.substr(first, text.find_last_not_of(' ') - first + 1);
}

std::string first_text(const MidiTrack& track, int meta_type)
{
    for (const MidiEvent& event : track.events)
        if (event.is_meta(meta_type))
            if (std::string text = clean_text(event.text); !text.empty())
                return text;
    return {};
}

} // namespace canebrake
