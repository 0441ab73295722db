// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/writing/annotate_musicxml.h"
#include "engine/line/line.h"

#include <string>
#include <vector>

namespace canebrake
{

/// What a printed part says besides its notes.
struct PartLayout {
    std::string title;
    std::string part_name;
    std::string sound_id;  ///< MusicXML instrument-sound, such as "wind.reed.clarinet.bflat"; may be empty
    int midi_program = -1; ///< 0–127; −1: not said
    int transposition = 0; ///< sounding minus written, semitones; B♭ soprano −2
    int fifths = 0;        ///< key signature as written, sharps positive
    bool bass_clef = false;
    std::vector<Annotation> annotations{}; ///< `note` is the Source::id of the line's notes
    std::vector<KeyPoint> keys{};          ///< changes of key; take effect at a bar line
};

/// The line as one part of a score-partwise document, MusicXML 4.0 (W3C Community Group Final Report, 2021),
/// repeats written out, pitches as they are printed in the line. Wants a line as readers make it, before
/// grace notes are placed and ornaments written out. Where the line's notes change their distance from
/// printed to sounding (another clarinet is taken), the part transposes anew from there.
///
/// Read back it is the same line: notes, slurs, marks, ornaments, dynamics, tempo. `remarks` say what the
/// page does not hold: times moved to the page's grid, levels between the steps of the ladder, pitch bends.
std::string write_musicxml(const Line&, const PartLayout&, std::vector<std::string>& remarks);

} // namespace canebrake
