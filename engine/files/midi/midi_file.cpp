// SPDX-License-Identifier: MIT
#include "engine/files/midi/midi_file.h"

#include "models/units/input_error.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <optional>

namespace canebrake
{
namespace
{

std::uint8_t byte_at(std::string_view s, std::size_t i)
{
    return static_cast<std::uint8_t>(s[i]);
}

std::uint32_t big_endian(std::string_view s, std::size_t at, int count)
{
    std::uint32_t value = 0;
    for (int i = 0; i < count; ++i)
        value = value << 8 | byte_at(s, at + std::size_t(i));
    return value;
}

std::uint32_t little_endian(std::string_view s, std::size_t at)
{
    std::uint32_t value = 0;
    for (int i = 3; i >= 0; --i)
        value = value << 8 | byte_at(s, at + std::size_t(i));
    return value;
}

/// The MIDI file inside a RIFF wrapper: the contents of its "data" chunk; other bytes as they are.
std::string_view unwrapped(std::string_view bytes, const std::string& name)
{
    if (!bytes.starts_with("RIFF"))
        return bytes;
    if (bytes.size() < 12 || bytes.substr(8, 4) != "RMID")
        throw InputError(name + ": found a RIFF file without MIDI in it, wanted type RMID");
    for (std::size_t at = 12; at + 8 <= bytes.size();) {
        const std::size_t length = little_endian(bytes, at + 4);
        if (bytes.substr(at, 4) == "data")
            return bytes.substr(at + 8, length);
        at += 8 + length + length % 2;
    }
    throw InputError(name + ": found a RIFF file without a data chunk, wanted a MIDI file in it");
}

/// Reads the messages of one track chunk; stops at End of Track, at the chunk's end, or at damage.
class TrackReader
{
public:
    TrackReader(std::string_view file, std::size_t begin, std::size_t end, MidiTrack& track)
        : file_(file), at_(begin), end_(end), track_(track)
    {
    }

    /// True if the track ended as it should, with End of Track.
    bool read()
    {
        bool sound = true;
        while (sound && !ended_ && at_ < end_)
            sound = timed_message();
        if (illegal_ > 0)
            remark(first_illegal_,
                   illegal_text_ + " skipped" +
                       (illegal_ > 1 ? fmt::format(" (illegal messages in this track: {})", illegal_) : ""));
        if (sound && !ended_)
            remark(at_, "the track ends without its End of Track message");
        return ended_;
    }
    std::size_t position() const { return at_; }

private:
    bool timed_message()
    {
        const auto delta = variable_number();
        if (!delta)
            return false;
        tick_ += *delta;
        track_.end_tick = tick_;
        return message();
    }
    bool damaged(const std::string& what)
    {
        remark(at_, fmt::format("{}; the rest of the track (from tick {}) is left out", what, tick_));
        return false;
    }
    void remark(std::size_t at, const std::string& what)
    {
        track_.remarks.push_back(fmt::format("track {}, byte {}: {}", track_.number, at, what));
    }
    void illegal(std::size_t at, const std::string& what)
    {
        if (illegal_++ == 0) {
            first_illegal_ = at;
            illegal_text_ = what;
        }
    }

    std::optional<std::int64_t> variable_number()
    {
        std::int64_t value = 0;
        for (int i = 0; i < 4; ++i) {
            if (at_ >= end_) {
                damaged("the track breaks off inside a number");
                return {};
            }
            const std::uint8_t b = byte_at(file_, at_++);
            value = value << 7 | (b & 0x7F);
            if (b < 0x80)
                return value;
        }
        damaged("found a number of more than four bytes");
        return {};
    }

    bool message()
    {
        if (at_ >= end_)
            return damaged("the track breaks off before a message");
        const std::size_t begin = at_;
        ++count_;
        std::uint8_t status = byte_at(file_, at_);
        if (status >= 0x80)
            ++at_;
        else
            status = running_;
        if (status == 0xFF || status == 0xF0 || status == 0xF7)
            return long_message(status);
        if (status == 0) { // a data byte with no status to run on
            ++at_;
            illegal(begin, "a data byte without a status");
            return true;
        }
        // System common and real-time messages have no place in a file; step over them with their data.
        const int kind = status & 0xF0;
        const std::size_t data_bytes = kind == 0xF0                   ? (status == 0xF2                     ? 2
                                                                         : status == 0xF1 || status == 0xF3 ? 1
                                                                                                            : 0)
                                       : kind == 0xC0 || kind == 0xD0 ? 1
                                                                      : 2;
        if (end_ - at_ < data_bytes)
            return damaged("the track breaks off inside a message");
        MidiEvent event{tick_, count_, status};
        event.data1 = data_bytes > 0 ? byte_at(file_, at_) : 0;
        event.data2 = data_bytes > 1 ? byte_at(file_, at_ + 1) : 0;
        at_ += data_bytes;
        if (kind == 0xF0) {
            illegal(begin, fmt::format("message {:02X}, which a file may not hold,", status));
            return true;
        }
        running_ = status;
        if (event.data1 > 0x7F || event.data2 > 0x7F)
            illegal(begin, fmt::format("message {:02X} with a data byte above 127", status));
        else
            track_.events.push_back(event);
        return true;
    }

    bool long_message(std::uint8_t status)
    {
        std::uint8_t type = 0;
        if (status == 0xFF) {
            if (at_ >= end_)
                return damaged("the track breaks off inside a meta event");
            type = byte_at(file_, at_++);
        }
        const auto length = variable_number();
        if (!length)
            return false;
        if (std::size_t(*length) > end_ - at_)
            return damaged(fmt::format("found a message of {} bytes where {} are left", *length, end_ - at_));
        if (status == 0xFF) {
            MidiEvent event{tick_, count_, status, type};
            event.text = file_.substr(at_, std::size_t(*length));
            track_.events.push_back(event);
            ended_ = type == 0x2F;
        }
        at_ += std::size_t(*length);
        return true;
    }

    std::string_view file_;
    std::size_t at_, end_;
    MidiTrack& track_;
    std::int64_t tick_ = 0;
    int count_ = 0;
    std::uint8_t running_ = 0;
    bool ended_ = false;
    int illegal_ = 0;
    std::size_t first_illegal_ = 0;
    std::string illegal_text_;
};

/// Ticks a quarter, or the frames and ticks of SMPTE time turned into quarters of half a second.
void read_division(MidiFile& file, std::uint32_t division, const std::string& name)
{
    if (division < 0x8000) {
        if (division == 0)
            throw InputError(name + ": found a division of 0, wanted ticks a quarter");
        file.ticks_per_quarter = division;
        return;
    }
    const int frames = 256 - int(division >> 8);
    const int ticks = int(division & 0xFF);
    if ((frames != 24 && frames != 25 && frames != 29 && frames != 30) || ticks == 0)
        throw InputError(fmt::format(
            "{}: found {} frames of {} ticks a second, wanted 24, 25, 29 or 30 frames", name, frames, ticks));
    const double frames_per_second = frames == 29 ? 30000.0 / 1001.0 : frames; // drop-frame is 29.97
    file.ticks_per_quarter = 0.5 * frames_per_second * ticks;
    file.clock_time = true;
}

bool looks_like_a_chunk(std::string_view id)
{
    return std::all_of(id.begin(), id.end(), [](char c) { return c >= ' ' && c <= '~'; });
}

} // namespace

MidiFile parse_midi_file(std::string_view whole, const std::string& name)
{
    const std::string_view bytes = unwrapped(whole, name);
    if (!bytes.starts_with("MThd"))
        throw InputError(name + ": found no MThd header, wanted a Standard MIDI File");
    if (bytes.size() < 14)
        throw InputError(fmt::format("{}: breaks off in its header after {} bytes", name, bytes.size()));
    const std::size_t header_length = big_endian(bytes, 4, 4);
    if (header_length < 6 || header_length > bytes.size() - 8)
        throw InputError(fmt::format("{}: found a header of {} bytes, wanted 6", name, header_length));

    MidiFile file;
    file.format = int(big_endian(bytes, 8, 2));
    if (file.format == 2)
        throw InputError(name +
                         ": found format 2 (separate patterns), wanted format 0 or 1 (one piece of music)");
    if (file.format > 2)
        throw InputError(fmt::format("{}: found format {}, wanted 0 or 1", name, file.format));
    const std::uint32_t announced = big_endian(bytes, 10, 2);
    read_division(file, big_endian(bytes, 12, 2), name);

    std::size_t at = 8 + header_length;
    while (at < bytes.size()) {
        const bool whole_head = bytes.size() - at >= 8;
        const std::string_view id = bytes.substr(at, 4);
        const std::size_t length = whole_head ? big_endian(bytes, at + 4, 4) : 0;
        const std::size_t left = whole_head ? bytes.size() - at - 8 : 0;
        const bool is_track = whole_head && id == "MTrk";
        if (whole_head && !is_track && length <= left && looks_like_a_chunk(id)) {
            at += 8 + length; // a chunk of another kind: the specification says to skip it
            continue;
        }
        if (!is_track) {
            const std::size_t next = bytes.find("MTrk", at + 1);
            file.remarks.push_back(fmt::format(
                "byte {}: found no chunk here, {}", at,
                next == std::string_view::npos ? "the rest of the file is left out"
                                               : fmt::format("went on at the next track, byte {}", next)));
            if (next == std::string_view::npos)
                break;
            at = next;
            continue;
        }
        MidiTrack& track = file.tracks.emplace_back();
        track.number = int(file.tracks.size());
        const std::size_t begin = at + 8;
        TrackReader reader(bytes, begin, begin + std::min(length, left), track);
        const bool ended = reader.read();
        if (length > left)
            track.remarks.push_back(fmt::format("track {}, byte {}: the track says {} bytes, the file has {}",
                                                track.number, at, length, left));
        at = length > left && ended ? reader.position() : begin + std::min(length, left);
    }
    if (file.tracks.size() != announced)
        file.remarks.push_back(
            fmt::format("the header announces {} tracks, {} were found", announced, file.tracks.size()));
    return file;
}

} // namespace canebrake
