// SPDX-License-Identifier: MIT
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// One message of a Standard MIDI File, checked and with its running status filled in. System exclusive
/// messages are counted but not kept.
struct MidiEvent {
    std::int64_t tick = 0;
    int number = 0;             ///< 1-based among all messages of its track, for reports
    std::uint8_t status = 0;    ///< 0x80–0xEF a channel message, 0xFF a meta event
    std::uint8_t data1 = 0;     ///< first data byte; for a meta event its type
    std::uint8_t data2 = 0;     ///< second data byte, or 0
    std::string_view text = {}; ///< a meta event's bytes; points into the file
    int kind() const { return status & 0xF0; }
    int channel() const { return status & 0x0F; } ///< 0-based
    bool is_meta(int type) const { return status == 0xFF && data1 == type; }
};

struct MidiTrack {
    int number = 1; ///< 1-based among the track chunks of the file
    std::vector<MidiEvent> events;
    std::int64_t end_tick = 0;
    std::vector<std::string> remarks; ///< what was skipped or lost in this track
};

struct MidiFile {
    int format = 1;
    double ticks_per_quarter = 480.0;
    bool clock_time = false; ///< SMPTE division: ticks are fractions of a second, tempo events mean nothing
    std::vector<MidiTrack> tracks;
    std::vector<std::string> remarks;
};

/// Takes a Standard MIDI File (also inside a RIFF wrapper of type RMID) apart into messages. The layout is
/// the Standard MIDI Files 1.0 specification's (MMA RP-001): header chunk, track chunks, variable-length
/// numbers of at most four bytes, unknown chunks to be skipped.
///
/// It keeps what a damaged file still says: a track that breaks off is kept up to there, an illegal message
/// is skipped, a hole between chunks is searched for the next track; each with a remark naming the byte.
/// Running status lives on through system exclusive and meta events: the specification cancels it there, but
/// files that rely on it exist, and no correct file is read differently.
///
/// Throws InputError where nothing can be saved: no header, format 2 (unrelated patterns, no single piece of
/// music), a division that is not one. Time and memory grow with the length of the file only.
MidiFile parse_midi_file(std::string_view bytes, const std::string& name);

} // namespace canebrake
