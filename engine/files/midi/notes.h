// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/midi/midi_file.h"

#include <cstdint>
#include <vector>

namespace canebrake
{

/// A key pressed and let go, in ticks.
struct KeyPress {
    std::int64_t on = 0, off = 0;
    int key = 60;
    int velocity = 64;
    int event = 0;        ///< number of the note-on in its track
    bool stuck = false;   ///< nothing ever let it go
    bool slurred = false; ///< joined to the next one without the tongue
};

/// Pairs note-on with note-off for one channel of a track. Velocity 0 lets go; a key struck again while down
/// is let go first; all-notes-off (controllers 120 and 123–127) lets go of everything; what is still down at
/// the end is let go there and marked stuck. Sorted by time, then top note first.
std::vector<KeyPress> key_presses(const MidiTrack&, int channel);

struct OneVoice {
    std::vector<KeyPress> notes; ///< never overlapping
    int chords = 0;              ///< places where other notes sounded with the one kept
    int left_out = 0;            ///< notes left out there
    int stuck = 0;
};

/// Makes one player's voice of the keys of a channel.
///  - Notes that begin together (within `tolerance` ticks) and sound together are a chord: its top note
///  stays.
///    A lower note that begins and ends inside a higher one is left out too.
///  - A note that begins, by even one tick, before the one before it ends is slurred to: that one ends there.
///    Notes that only touch are tongued, unless the legato pedal (controller 68 among `controls`, in order of
///    time) is down when the second one begins.
///  - A gap of at most `tolerance` ticks (and a quarter of the note) is no rest but how files are written:
///  the
///    note is lengthened to the next.
OneVoice one_voice(std::vector<KeyPress>, const std::vector<MidiEvent>& controls, std::int64_t tolerance);

} // namespace canebrake
