// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/pitch.h"

#include <cstdint>
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

/// An ornament on a note. `semitones` is the distance to the auxiliary (trill, mordent, turn: as printed,
/// with its accidental, counted without a sign; two-note tremolo, glissando, slide: to the other note, down
/// is negative). `strokes`: tremolo beams, 0 = unmeasured. A turn has two auxiliaries: `semitones` up,
/// `semitones_below` down.
struct Ornament {
    OrnamentKind kind = OrnamentKind::trill;
    int semitones = 2;
    int strokes = 3;
    int semitones_below = 1;
};

/// Where a note came from, for reports.
struct Source {
    std::string bar;   ///< printed bar number
    int bar_index = 0; ///< index into Line::bars (playing order)
    double beat = 1.0; ///< 1-based, in the bar's beat unit
    std::string voice; ///< the file's voice, MIDI channel (1–16), or "1"
    std::string id;    ///< the reader's own: XML id, or "P5:m12:n3", "track 3 event 118", "char 17"
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
    std::vector<std::string> remarks; ///< what the reader assumed, skipped or mended, one line each
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

/// Gives grace notes their time, on the beat: the main note starts late by about 70 ms for each slashed one,
/// by up to half its length for unslashed ones; after-graces take the end of the note before. Keeps order;
/// afterwards no note has length 0.
void place_grace_notes(Line&);

/// Writes trills, mordents, turns, tremolos, glissandi and slides out as plain slurred (tremolo: re-tongued)
/// notes so that they can be played; each keeps its Source.
void write_out_ornaments(Line&);

/// Keeps notes whose bar's printed number lies in [first, last], each time the playing order comes through;
/// the cut line starts at the first such bar, and bars outside are left out. InputError (Fault::usage) if
/// there is no such bar.
Line cut_to_bars(const Line&, int first, int last);

} // namespace canebrake
