// SPDX-License-Identifier: MIT
// Standard MIDI Files 1.0 (RP-001), MIDI Manufacturers Association.
#include "engine/files/writing/write_midi.h"

#include "models/units/input_error.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <map>
#include <utility>

namespace canebrake
{
namespace
{

constexpr int ticks_per_quarter = 960;
constexpr std::int64_t overlap_ticks = 24; // of slurred notes
constexpr double step_quarters = 0.5;      // of what changes gradually
constexpr std::size_t most_parts = 16;
constexpr int breath_controller = 2;

using Tick = std::int64_t;

Tick tick_at(double quarter)
{
    return std::max<Tick>(0, std::llround(quarter * ticks_per_quarter));
}

std::string big_endian(std::uint32_t value, int bytes)
{
    std::string text;
    for (int shift = 8 * (bytes - 1); shift >= 0; shift -= 8)
        text += char(value >> shift & 0xFF);
    return text;
}

/// Seven bits a byte, all but the last with the top bit set.
std::string variable_length(std::uint32_t value)
{
    std::string text(1, char(value & 0x7F));
    while ((value >>= 7) != 0)
        text.insert(text.begin(), char(0x80 | (value & 0x7F)));
    return text;
}

/// Messages by time; at one tick in the order: all else, note off, note on.
class Track
{
public:
    enum Order { other, off, on };

    void add(Tick tick, Order order, std::string message)
    {
        messages_.emplace(std::pair{tick, order}, std::move(message));
    }
    void add_meta(Tick tick, int type, const std::string& bytes)
    {
        add(tick, other,
            std::string{char(0xFF), char(type)} + variable_length(std::uint32_t(bytes.size())) + bytes);
    }
    std::string chunk() const
    {
        std::string body;
        Tick last = 0;
        for (const auto& [when, message] : messages_) {
            body += variable_length(std::uint32_t(when.first - last)) + message;
            last = when.first;
        }
        body += variable_length(0) + std::string{char(0xFF), 0x2F, 0x00};
        return "MTrk" + big_endian(std::uint32_t(body.size()), 4) + body;
    }

private:
    std::multimap<std::pair<Tick, Order>, std::string> messages_;
};

void add_tempo(Track& track, Tick tick, double quarters_per_minute)
{
    const double microseconds = std::clamp(60e6 / quarters_per_minute, 1.0, double(0xFFFFFF));
    track.add_meta(tick, 0x51, big_endian(std::uint32_t(std::lround(microseconds)), 3));
}

void add_tempi(Track& track, const Line& line)
{
    const TempoMap map(line.tempo);
    for (std::size_t i = 0; i < line.tempo.size(); ++i) {
        const TempoPoint& point = line.tempo[i];
        add_tempo(track, tick_at(point.quarter), point.quarters_per_minute);
        if (!point.ramp || i + 1 == line.tempo.size())
            continue;
        for (double q = point.quarter + step_quarters; q < line.tempo[i + 1].quarter; q += step_quarters)
            add_tempo(track, tick_at(q), map.tempo_at(q));
    }
}

void add_bars(Track& track, const Line& line)
{
    int beats = 0, beat_type = 0;
    for (const Bar& bar : line.bars) {
        if (bar.beats == beats && bar.beat_type == beat_type)
            continue;
        beats = bar.beats;
        beat_type = bar.beat_type;
        const int power = std::countr_zero(unsigned(std::max(1, beat_type)));
        track.add_meta(tick_at(bar.start_quarter), 0x58,
                       {char(std::clamp(beats, 1, 255)), char(power), 24, 8});
    }
    for (const KeyPoint& key : line.keys)
        track.add_meta(tick_at(key.quarter), 0x59, {char(std::clamp(key.fifths, -7, 7)), 0});
}

/// What `read_score` takes for this step of the ladder: sixteen a step, 16 at ppp.
int midi_value(double level)
{
    return int(std::clamp(std::lround(16.0 + 16.0 * level), 1L, 127L));
}

void add_breath(Track& track, const Line& line, int channel)
{
    int last = -1;
    const auto blow = [&](double quarter) {
        const int value = midi_value(dynamic_at(line.dynamics, quarter));
        if (value == last)
            return;
        last = value;
        track.add(tick_at(quarter), Track::other, {char(0xB0 | channel), breath_controller, char(value)});
    };
    if (std::none_of(line.dynamics.begin(), line.dynamics.end(), [](const auto& d) { return d.ramp; }))
        return;
    for (std::size_t i = 0; i < line.dynamics.size(); ++i) {
        const DynamicPoint& point = line.dynamics[i];
        blow(std::max(0.0, point.quarter));
        if (!point.ramp || i + 1 == line.dynamics.size())
            continue;
        for (double q = point.quarter + step_quarters; q < line.dynamics[i + 1].quarter; q += step_quarters)
            blow(q);
    }
}

std::string track_of(const MidiPart& part, int channel)
{
    Track track;
    track.add_meta(0, 0x03, part.name);
    track.add(0, Track::other, {char(0xC0 | channel), char(std::clamp(part.program, 0, 127))});
    const Line& line = part.line;
    add_breath(track, line, channel);
    for (std::size_t i = 0; i < line.notes.size(); ++i) {
        const Note& note = line.notes[i];
        const int key = note.sounding.number;
        if (key < 0 || key > 127)
            continue;
        const Tick begin = tick_at(note.start_quarter);
        Tick end = std::max(begin + 1, tick_at(note.start_quarter + note.length_quarters));
        const bool joined = note.slurred_to_next && i + 1 < line.notes.size();
        if (joined && line.notes[i + 1].sounding.number != key)
            end = tick_at(line.notes[i + 1].start_quarter) + overlap_ticks;
        const int velocity = midi_value(std::max(0.0, dynamic_at(line.dynamics, note.start_quarter)));
        track.add(begin, Track::on, {char(0x90 | channel), char(key), char(velocity)});
        track.add(end, Track::off, {char(0x80 | channel), char(key), 64});
    }
    return track.chunk();
}

} // namespace

std::string write_midi(const std::string& title, const std::vector<MidiPart>& parts)
{
    if (parts.empty() || parts.size() > most_parts)
        throw InputError("MIDI: found " + std::to_string(parts.size()) + " parts, wanted 1 to 16",
                         Fault::usage);
    Track conductor;
    conductor.add_meta(0, 0x03, title);
    add_tempi(conductor, parts.front().line);
    add_bars(conductor, parts.front().line);
    std::string bytes = "MThd" + big_endian(6, 4) + big_endian(1, 2) +
                        big_endian(std::uint32_t(parts.size() + 1), 2) + big_endian(ticks_per_quarter, 2) +
                        conductor.chunk();
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const int channel = int(i) < 9 ? int(i) : int(i + 1) % 16; // the tenth is for drums
        bytes += track_of(parts[i], channel);
    }
    return bytes;
}

} // namespace canebrake
