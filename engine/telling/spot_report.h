// SPDX-License-Identifier: MIT
#pragma once

#include "engine/spots/judged_part.h"
#include "engine/telling/identity.h"

#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace canebrake
{

/// Where in the page something stands.
struct SpotPlace {
    std::string bar;    ///< printed number
    int bar_index = -1; ///< in playing order; −1: not known
    double beat = 1.0;
    std::string source;    ///< the reader's own id of the note
    std::string rehearsal; ///< the last rehearsal mark up to there
    Identity identity{};   ///< what it is by its notes
};

/// A spot as it is told to a reader: from the judge, from who plays, or from how it is printed.
struct SpotReport {
    Cause cause{};
    Grade grade = Grade::easy;
    SpotPlace at{};
    SpotPlace until{}; ///< its last note
    double start_s = 0.0, end_s = 0.0;
    double start_quarter = 0.0, end_quarter = 0.0; ///< in the part as it is played
    std::string instrument{};
    std::vector<std::pair<std::string, std::string>>
        notes{};             ///< written and sounding names, as the part spells
    bool more_notes = false; ///< `notes` are the first and the last of more than four
    std::string sentence{};
    std::optional<double> safe_tempo{}, marked_tempo{}; ///< quarters a minute
    Heard heard{};
    std::optional<Heard> ideal{};
    std::vector<SpotPlace> again{};
    std::string assumed{};    ///< "slurred" or "tongued", where the file does not say
    std::string kit{};        ///< what another kit would make of it
    std::string exposure{};   ///< who else plays there; empty: not known, or nothing special
    double weight = 1.0;      ///< of its exposure
    std::string for_player{}; ///< what the player's copy says there: "L", "fork", "side"; empty: nothing
    std::vector<std::string> breathe_after{}; ///< ids of the notes after which breaths do least harm
    std::vector<std::pair<std::string, std::string>>
        hands{};        ///< ids of notes, and L or R for their little finger
    int number = 0;     ///< as it is told, from 1
    bool fresh = false; ///< not there when the list of waived spots was last written

    /// The same from run to run: cause, place and notes.
    std::string key(const SpotPlace&) const;
};

/// What a whole part comes to.
struct PartReport {
    std::string part_id, part_name;
    std::string instrument;        ///< title of the first that is played
    std::vector<SpotReport> spots; ///< in playing order
    std::vector<std::string> remarks, assumptions;
    std::size_t bars = 0, easy_bars = 0; ///< that hold notes; without a spot
    std::size_t waived = 0;
    std::string best_suited;       ///< an instrument's name; empty: not compared
    std::string best_suited_words; ///< why

    std::size_t count(Grade) const;
    bool playable() const; ///< nothing is unplayable that the file itself says
};

/// The judge's spots, and those of instrument changes, reading and pitch basis, in the page's terms.
PartReport report_of(const JudgedPart&);

/// How much trouble a part is, for comparing instruments: an awkward spot 1, a risky 4, an unplayable 20.
double trouble(const std::vector<SpotReport>&);

/// The sentence for one spot, for a composer: what moves, what will be heard.
std::string sentence(const Performed&, const Spot&);

/// "L" or "R": the little finger that holds a key both could; empty: neither.
std::string little_finger_hand(const Performed&, std::size_t note);

/// What the player's copy says at a spot: which hand, which fingering.
std::string player_words(const Performed&, const Spot&);

/// "dips 9 dB, settles in 120 ms": what was measured; empty: nothing.
std::string heard_in_words(const Heard&);

/// "over the break", "long breath": a cause for a heading.
const char* title(Cause);

/// Written name of a note as its line spells it.
std::string written_name(const Performed&, std::size_t note);

} // namespace canebrake
