// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/score/score_parts.h"
#include "models/instruments/family.h"

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace canebrake
{

/// How much a passage of one part is heard through the others.
struct Exposure {
    enum Kind {
        alone,   ///< no other part sounds
        exposed, ///< at most three sections sound, all softly
        among,   ///< neither one nor the other
        doubled, ///< somebody has the same notes in unison or octaves
        covered  ///< under loud brass, or eight others at f
    };
    Kind kind = among;
    std::vector<std::string> with{}; ///< exposed: the few others; doubled: by whom; covered: the brass
    double weight = 1.0;             ///< 1.5, 1.3, 1.0, 0.7, 0.5. Common practice, no source.
};

/// "alone", "exposed, with Viola", "doubled by Flute 1 and Oboe 1", "under the brass", "under the tutti", ""
std::string exposure_words(const Exposure&);

/// A score seen from one of its parts: what sounds beside it, how loud, and whether it is the same.
///
/// Judged by the notes; a passage is the part's own notes between two positions.
/// - exposed: at most three sections sound with it, all softer than mp (a p and its swells); "Horn 1" and
///   "Horn 2" are one section.
/// - covered: at least half of its sounding time lies under brass at f or more, or under eight parts at f.
/// - doubled: another part begins at least 80 % of its notes with it, in unison or one or two octaves apart.
///   A note of a chord that all strike together doubles nobody: a passage of fewer than five notes is looked
///   at with the notes beside it, up to five as far as no rest of a quarter parts them, and two notes are too
///   few to tell.
/// Where several fit, the first of alone, covered, doubled, exposed holds.
///
/// Pitches are compared as the readers gave them, sounding: right for MusicXML with its transpositions and
/// for MIDI. A part that is to be read at another pitch (--pitch) is not known here; put it into the Score
/// before, if its doublings matter. Left out: grace notes, the word "solo", seating, mutes, and how many
/// play from a part. Dynamics are the printed ones; where a part has none, its MIDI velocity, else mf.
///
/// Made once for a score, in one pass over its notes; a question costs O(parts · log notes + notes met).
class ScoreView
{
public:
    explicit ScoreView(const Score&);

    /// Of the part's notes that sound in [from, to). `among` for a passage of rests, and where no other part
    /// has notes at all: such a file is a part taken out of its score, and says nothing.
    Exposure exposure(std::size_t part, double from_quarter, double to_quarter) const;

    /// Flutes, oboes and small clarinets that hold the part's own pitch above sounding A5, by name, for at
    /// least half of some note in [from, to): a unison that shows every cent.
    std::vector<std::string> high_winds_in_unison(std::size_t part, double from_quarter,
                                                  double to_quarter) const;
    bool unison_with_high_wind(std::size_t part, double from_quarter, double to_quarter) const
    {
        return !high_winds_in_unison(part, from_quarter, to_quarter).empty();
    }

private:
    struct Sound {
        double start, end, pitch, level; ///< level: on the ladder of dynamics, half way through the note
        bool high_wind;
    };
    struct Voice {
        std::string name, section;
        bool brass = false;
        std::vector<Sound> sounds; ///< by start; their ends rise too
    };
    /// Some of a part's notes, and the stretch from the first to the last of them.
    struct Passage {
        std::span<const Sound> sounds;
        double from = 0.0, to = 0.0;
    };

    static Voice voice_of(const Line&);
    static std::span<const Sound> sounding(const Voice&, double from, double to);
    Passage passage(std::size_t part, double from, double to) const;
    std::vector<std::size_t> others(std::size_t part, const Passage&) const;
    std::vector<std::string> sections_of(const std::vector<std::size_t>& parts) const;
    std::vector<std::string> doubling(std::size_t part, const Passage&) const;
    bool covered(std::size_t part, const Passage&, std::vector<std::string>& brass) const;

    std::vector<Voice> voices_;
};

/// For one question; for more, keep a ScoreView.
inline Exposure exposure(const Score& score, std::size_t part, double from_quarter, double to_quarter)
{
    return ScoreView(score).exposure(part, from_quarter, to_quarter);
}

/// One player's notes pass from one part to another: "Clarinet 1 in B♭" to "Clarinet 1 in A".
struct ChairChange {
    std::size_t from_part = 0, to_part = 0; ///< indices into Score::parts
    std::string from_bar, to_bar;           ///< of the last note on the old, and of the first on the new
    std::string from, to;                   ///< "the clarinet in B♭", "the clarinet in A"
    double seconds = 0.0; ///< from the end of the last note to the first; negative: they overlap by so much
    ChangeTime wanted;
    bool overlaps = false; ///< both sound at once: two players, or a mistake
};

/// Every change between the parts of one chair, in playing order. Parts belong to one chair only if their
/// names say so: the same player's number with B♭, A or C clarinet ("Clarinet 1 in B♭", "Clarinet 1 in A");
/// another clarinet only with the player in brackets ("Bass Clarinet (2nd)"), or as the only unnumbered one
/// of its kind that a numbered part doubles ("Clarinet 2 (doubling bass)", "Bass Clarinet"). Two parts that
/// sound at once in more than two places are two players whatever they are called: of those, the first
/// overlap only.
std::vector<ChairChange> chair_changes(const Score&);

} // namespace canebrake
