// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/pitch.h"

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace canebrake
{

// A Line is one monophonic part in playing order (repeats written out), as the player meets it. Score
// positions are in quarter notes from the start of the performance; `TempoMap` turns them into seconds.
// Readers make it, the plan and the performance read it, reports point back through `Source`.

/// Marks on a note, as bits.
enum Articulation : std::uint16_t {
    art_none = 0,
    art_staccato = 1,
    art_staccatissimo = 2,
    art_tenuto = 4,
    art_accent = 8,
    art_marcato = 16,         ///< MusicXML strong-accent
    art_detached_legato = 32, ///< portato: tongued softly, hardly separated
    art_breath_after = 64,    ///< breath mark or caesura after this note
    art_fermata = 128,
    art_sforzando = 256,   ///< sf, sfz, fz, rfz …: a sudden accent on this note only
    art_forte_piano = 512, ///< fp: loud start, soft at once
    art_flutter = 1024,    ///< flutter-tongue
    art_double_tongue = 2048,
};

enum class OrnamentKind {
    trill,
    mordent,
    inverted_mordent,
    turn,
    inverted_turn,
    tremolo,
    two_note_tremolo,
    glissando,
    slide
};

/// The note a trill or turn begins with. (MusicXML start-note: upper, main, below.)
enum class OrnamentStart { main, upper, below };

/// An ornament on a note. `semitones` is the distance to the auxiliary (trill, mordent, turn: as printed,
/// with its accidental, counted without a sign; two-note tremolo, glissando, slide: to the other note, down
/// is negative). `strokes`: tremolo beams, 0 = as fast as it goes. A turn, and a trill with a closing turn,
/// has two auxiliaries: `semitones` up, `semitones_below` down.
struct Ornament {
    OrnamentKind kind = OrnamentKind::trill;
    int semitones = 2;
    int strokes = 3;
    int semitones_below = 1;
    std::optional<int> letters{}; ///< letter names to the other note, down is negative; empty: unknown
    std::optional<OrnamentStart> start{}; ///< as printed; empty: a trill from the main note, a turn as usual
    bool delayed = false;                 ///< turn: at the end of the note, not at its beginning
    bool closing_turn = false;            ///< trill: ends with the note below and the main note
    bool accelerate = false;              ///< trill: starts slower and quickens
    int beats = 0;                        ///< trill: notes asked for, without the closing turn; 0 = not said
    bool extended = false;                ///< mordent: twice to the other note
    double stroke_quarters = 0.0;         ///< measured tremolo: one stroke as printed; 0: from the length
};

/// What a small note is to the ornament it was written out from.
struct Figure {
    OrnamentKind kind = OrnamentKind::trill;
    int group = 0; ///< the same for all small notes of one ornament; counts through the line
    int role = 0;  ///< 0 main note, +1 upper auxiliary or a tremolo's other note, −1 lower auxiliary;
                   ///< glissando and slide: 0 the note held before, then 1, 2 … along the run
};

/// Where a note came from, for reports.
struct Source {
    std::string bar;          ///< printed bar number
    int bar_index = 0;        ///< index into Line::bars (playing order)
    double beat = 1.0;        ///< 1-based, in the bar's beat unit
    std::string voice;        ///< the file's voice, MIDI channel (1–16), or "1"
    std::string id;           ///< the reader's own: XML id, or "P5:m12:n3", "track 3 event 118", "char 17"
    std::string instrument{}; ///< the file's own id of who plays it, where a part has several; or empty
    std::size_t number = 0;   ///< identity in playing order, where a line is changed and compared; else 0
};

struct Note {
    double start_quarter = 0.0;
    double length_quarters = 1.0; ///< ties already joined; > 0 except grace notes (0 until placed)
    SoundingPitch sounding;
    int printed = 60;             ///< chromatic number exactly as the file prints it
    int printed_step = 0;         ///< spelling as printed: 0 = C … 6 = B
    int printed_alter = 0;        ///< −2 … +2
    bool slurred_to_next = false; ///< the next note is joined without the tongue
    bool grace = false;           ///< takes its time from a neighbour; see place_grace_notes
    bool grace_slashed = false;
    bool grace_after = false; ///< steals from the note before it (after-grace)
    std::uint16_t articulations = art_none;
    std::optional<double> velocity; ///< MIDI 1–127, for lines without dynamics
    std::vector<Ornament> ornaments;
    std::string fingering; ///< text of a printed fingering, if any
    Source source;
    std::optional<Figure> figure{}; ///< small notes of a written-out ornament only
};

/// Dynamics on a ladder: 0 ppp, 1 pp, 2 p, 3 mp, 4 mf, 5 f, 6 ff, 7 fff; −1 is niente. Fractions between.
/// Between two points the level holds (`ramp` false) or moves linearly to the next point (`ramp` true).
struct DynamicPoint {
    double quarter = 0.0;
    double level = 4.0;
    bool ramp = false;
};

struct TempoPoint {
    double quarter = 0.0;
    double quarters_per_minute = 100.0;
    bool ramp = false; ///< tempo moves linearly (in quarters) to the next point
};

struct Bar {
    std::string number;
    double start_quarter = 0.0;
    double length_quarters = 4.0;
    int beats = 4;
    int beat_type = 4;
    std::string rehearsal;
};

/// Pitch bend in semitones against time (MIDI); steps.
struct BendPoint {
    double quarter = 0.0;
    double semitones = 0.0;
};

/// From here on the part is for this instrument, as far as the file says.
struct InstrumentStretch {
    double start_quarter = 0.0;
    std::string name;  ///< in the family, such as "A"; empty: it is no clarinet of ours
    std::string other; ///< what it is instead: "flute"
    std::string why;   ///< what said so: "its name is 'Clarinet in A'"
};

/// A key signature from here on, exactly as the file prints it: −7 (seven flats) … +7 (seven sharps).
struct KeyPoint {
    double quarter = 0.0;
    int fifths = 0;
};

struct Line {
    std::string part_id; ///< MusicXML part id, or "track 2", "channel 3", "phrase"
    std::string part_name;
    std::string instrument_sound;       ///< MusicXML instrument-sound id, if given
    int midi_program = -1;              ///< 0–127, −1 unknown
    bool written_known = false;         ///< the file itself says how printed relates to sounding
    std::vector<Note> notes;            ///< by start; never overlapping once a reader is done
    std::vector<Bar> bars;              ///< in playing order
    std::vector<TempoPoint> tempo;      ///< first at quarter 0
    std::vector<DynamicPoint> dynamics; ///< may be empty: nothing was said
    std::vector<BendPoint> bends;
    std::vector<KeyPoint> keys;                 ///< as printed; empty: the file does not say
    std::vector<InstrumentStretch> instruments; ///< by start; empty: the file does not say who plays
    std::vector<std::string> remarks;           ///< what the reader assumed, skipped or mended, one line each
    double end_quarter = 0.0;
};

/// Everything a file holds. Tempo has been collected from all parts and given to each.
struct Score {
    std::string title;
    std::vector<Line> parts;
    std::vector<std::string> remarks;
};

/// Seconds ↔ quarters through a tempo list (exact integrals of linear ramps). `scale` 2 plays twice as fast.
class TempoMap
{
public:
    explicit TempoMap(const std::vector<TempoPoint>& points, double scale = 1.0);
    double seconds_at(double quarter) const;
    double quarter_at(double seconds) const;
    double tempo_at(double quarter) const; ///< quarters per minute, scaled

private:
    struct Piece {
        double quarter, seconds, qpm, slope; // slope: qpm per quarter
    };
    std::vector<Piece> pieces_;
};

/// Ladder level at a position; `fallback` where nothing was said.
double dynamic_at(const std::vector<DynamicPoint>&, double quarter, double fallback = 4.0);

/// Fills bar, bar index and beat of every note's Source from the line's bars; for readers.
void place_in_bars(Line&);

/// Gives grace notes their time, on the beat: the main note starts late by about 70 ms for each slashed one,
/// by up to half its length for unslashed ones; after-graces take the end of the note before. Keeps order;
/// afterwards no note has length 0.
void place_grace_notes(Line&);

/// How quick the player is. Common practice, no source; what the fingers allow is asked per ornament.
struct OrnamentPace {
    /// Notes a second of a trill or an unmeasured two-note tremolo; empty: 9 and 12. Called once an ornament.
    std::function<double(const Note& main, const Ornament&)> trill_notes_per_s{};
    double tongued_per_s = 8.4;         ///< repeated by the tongue as fast as it goes
    double double_tongued_per_s = 12.0; ///< the same under a double-tongue mark
    double quick_note_s = 0.065;        ///< a mordent's small notes
    double turn_note_s = 0.090;         ///< a turn's
    double run_notes_per_s = 16.0;      ///< a glissando begins earlier rather than run faster
    double longest_slide_s = 0.5;       ///< a slide takes the last half of its note, at most this
};

/// Writes trills, mordents, turns, tremolos, glissandi and slides out as plain slurred (tremolo: re-tongued)
/// notes so that they can be played. The small notes fill their note's time exactly; each keeps its Source
/// and says in `figure` what it is.
void write_out_ornaments(Line&, const OrnamentPace& = {});

/// Keeps notes whose bar's printed number lies in [first, last], each time the playing order comes through;
/// the cut line starts at the first such bar, and bars outside are left out. InputError (Fault::usage) if
/// there is no such bar.
Line cut_to_bars(const Line&, int first, int last);

/// The notes that begin in [from, to), as a line of its own that starts at quarter 0; bars keep their index.
/// The whole line comes back as it is.
Line cut_to_quarters(const Line&, double from, double to);

} // namespace canebrake
