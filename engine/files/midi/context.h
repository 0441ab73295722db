// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/midi/midi_file.h"
#include "engine/line/line.h"

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

namespace canebrake
{

struct TimeSignature {
    double quarter = 0.0;
    int beats = 4;
    int beat_type = 4;
};

/// What holds for every part of a MIDI file: tempo and time signatures collected from all its tracks.
struct MidiContext {
    std::vector<TempoPoint> tempo; ///< 120 from the start where the file says nothing (MIDI's default)
    std::vector<TimeSignature> signatures; ///< 4/4 from the start where the file says nothing
    std::vector<std::string> remarks;
};
MidiContext midi_context(const MidiFile&);

/// Bars from time signatures up to `end_quarter`, numbered from 1; a signature inside a bar cuts that bar
/// short. A damaged file may claim years of silence, so at most `max_bars` are made; the last one then takes
/// what is left.
std::vector<Bar> midi_bars(const std::vector<TimeSignature>&, double end_quarter,
                           std::size_t max_bars = 20000);

/// Sharps (or, negative, flats) of the key against time.
using KeySignatures = std::vector<std::pair<std::int64_t, int>>;
KeySignatures key_signatures(const MidiTrack&);
/// The same for a Line. A note number is sounding pitch, so this is the concert key.
std::vector<KeyPoint> midi_keys(const KeySignatures&, double ticks_per_quarter);

/// Spells a note: with sharps where the file has no key signature, else with the key's twelve customary
/// names (in C major or A minor the fifths from E♭ to G♯, elsewhere the same row moved).
struct Spelling {
    int step = 0, alter = 0;
};
Spelling spell(int note_number);
Spelling spell(int note_number, int key_sharps);

/// Text of a meta event as clean UTF-8: bytes that are not UTF-8 are taken as Latin-1, control characters
/// become spaces, the ends are trimmed, at most 200 bytes.
std::string clean_text(std::string_view);

/// First text of a meta event type in a track, or empty (3: track name, 4: instrument name).
std::string first_text(const MidiTrack&, int meta_type);

} // namespace canebrake
