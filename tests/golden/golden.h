// SPDX-License-Identifier: MIT
#pragma once

#include "engine/performance/settings.h"
#include "models/instruments/instrument.h"

#include <array>
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

namespace canebrake::golden
{

// What each of four clarinets sounds like, note by note, kept as figures, so that a change of the sound is
// seen in review. Ten phrases, a studio player; seed 1, A4 = 440 Hz, 25 °C.

inline constexpr std::array instruments{"B-flat", "A", "E-flat", "bass"};

struct Phrase {
    std::string name, words;
};
/// Those of assets/phrases and of the folder beside this file. Registers, tongue, slurs over the break and
/// wide ones, soft and loud, swells, trills, grace and repeated notes.
std::vector<Phrase> phrases();

/// The figures of a note, as `measure_note` has them.
enum Column { cents, level_db, centroid_hz, speaking_ms, column_count };

/// How far a figure may lie from what is kept: `absolute`, and that share of the kept figure on top.
struct Tolerance {
    const char* column;
    double absolute, share;
    double of(double kept) const;
};

/// Half of what a listener tells apart, so that what can be noticed fails. What another compiler makes of the
/// same source lies inside: SOURCES.md has what was measured.
///
///   cents        trained ears tell 3 to 4 cents between tones in turn
///   level_db     0.7 to 1 dB
///   centroid_hz  4 to 5 %
///   speaking_ms  6 ms in an even row of quick notes, 2.5 % of longer times (Friberg & Sundberg,
///                JASA 98, 1995, 2524)
///
/// All four from memory.
inline constexpr std::array<Tolerance, column_count> tolerances{
    {{"cents", 1.5, 0.0}, {"level_db", 0.35, 0.0}, {"centroid_hz", 0.0, 0.02}, {"speaking_ms", 3.0, 0.02}}};

struct Row {
    std::string phrase;
    int note = 0; ///< from 1, small notes of trills counted
    std::string bar, written;
    std::array<std::optional<double>, column_count> figures; ///< empty: it settled on no pitch near its own
};

/// Plays a phrase and measures every note.
std::vector<Row> measure(const Instrument&, const Phrase&);
std::vector<Row> measure_all(const Instrument&);

void write(std::ostream&, const std::vector<Row>&);
/// The rows kept for an instrument, of one phrase or of all. Throws std::runtime_error: no such file, or a
/// line that is none of ours.
std::vector<Row> kept(const std::string& instrument, const std::string& phrase = "");
std::string kept_file(const std::string& instrument);

/// One sentence for each figure beyond its tolerance: note, column, old and new value. Empty: all alike.
std::vector<std::string> differences(const std::vector<Row>& old, const std::vector<Row>& now);

} // namespace canebrake::golden
