// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/musicxml/fraction.h"
#include "engine/line/line.h"

#include <map>
#include <string>
#include <vector>

namespace canebrake::musicxml
{

// The score as it is written, bar by bar, before repeats are played out. Positions are quarters from the bar
// line; every list is in the order of the document.

struct SlurEnd {
    int number = 1;
    bool start = true;
};

struct WrittenNote {
    Note note; ///< all but its times, its slur and its bar_index
    Fraction start;
    Fraction length; ///< 0 for grace notes
    bool tie_start = false, tie_stop = false;
    bool wavy_start = false, wavy_stop = false;
    bool two_note_start = false, two_note_stop = false;
    bool glissando_start = false, slide_start = false;
    int strokes = 3;              ///< of a two-note tremolo
    double stroke_quarters = 0.0; ///< one of its strokes; 0: not known
    int above = 2;                ///< semitones to the note above, by bar and key
    std::vector<SlurEnd> slurs;
};

struct DynamicMark {
    enum Kind { level, sforzando, forte_piano, wedge_start, wedge_stop, words, percent };
    Fraction at;
    Kind kind = level;
    double value = 4.0; ///< ladder level; +1 or -1 for wedge_start and words; percent of forte
    int number = 1;     ///< of the wedge
    bool niente = false;
};

/// Words that begin or end flutter-tongue.
struct FlutterMark {
    Fraction at;
    bool on = true;
};

/// A key signature: sharps, or flats below 0. One that is no row of fifths counts as none, 0.
struct KeyMark {
    Fraction at;
    int fifths = 0;
};

/// Something that may say who plays from here on: words over the notes, a new name before the staff, or the
/// document's own sign for a change.
struct PlayerMark {
    enum Kind { words, name, sign };
    Fraction at;
    Kind kind = words;
    std::string text;     ///< words or name
    std::string sound_id; ///< of a sign
};

struct TempoMark {
    enum Kind { number, modulation, slowing, quickening, a_tempo, first_tempo };
    Fraction at;
    Kind kind = number;
    double value = 100.0; ///< quarters a minute; modulation: new tempo / old tempo
    std::string words;
};

/// Signs that decide what is played after this bar.
struct Flow {
    bool forward = false, backward = false, after_jump = false;
    int times = 0; ///< 0: not said
    bool ending_start = false, ending_stop = false;
    std::vector<int> ending_numbers;
    std::string segno, coda, dal_segno, to_coda; ///< names; empty: none
    bool da_capo = false, fine = false;
    std::string jump_words; ///< "D.C. al Fine" in words
};

struct WrittenBar {
    std::string number;
    Fraction length;  ///< what the notes and rests fill
    Fraction nominal; ///< what the time signature says
    int beats = 4, beat_type = 4;
    std::string rehearsal;
    std::vector<WrittenNote> notes;
    std::vector<DynamicMark> dynamics;
    std::vector<TempoMark> tempo;
    std::vector<KeyMark> keys;
    std::vector<FlutterMark> flutter;
    std::vector<PlayerMark> players;
    Flow flow;
};

/// Something seen several times, said once: how often and where first.
struct Sighting {
    int count = 0;
    std::string first_bar;
    void see(const std::string& bar)
    {
        if (count++ == 0)
            first_bar = bar;
    }
};

/// What the part list says of one instrument of a part.
struct PlayerId {
    std::string name, sound_id;
    int midi_program = -1;
};

struct WrittenPart {
    std::string id, name, instrument_sound;
    int midi_program = -1;
    std::map<std::string, PlayerId> players; ///< score-instruments by id
    bool transpose_seen = false;
    std::vector<WrittenBar> bars;
    Sighting chords, unpitched, without_length, unknown_ornaments;
};

/// "bar 3", "bars 3, 5 and 9", "bars 1, 2, … (31 in all)".
std::string bar_list(std::vector<std::string> bars);

} // namespace canebrake::musicxml
