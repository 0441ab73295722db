// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <map>
#include <string>
#include <vector>

namespace canebrake
{

/// What a file says about who plays a part, in playing order.
struct PlayerEvidence {
    std::string part_name, sound_id;
    int midi_program = -1;
    bool transposition_known = false; ///< sounding − printed of the notes is the instrument's

    /// What the file's ids of instruments mean; notes name theirs in Source::instrument.
    struct Id {
        std::string sound_id, name;
        int midi_program = -1;
    };
    std::map<std::string, Id> ids;

    /// Words, a new name or a sign, by position.
    struct Mark {
        double quarter = 0.0;
        std::string text, sound_id;
        bool over_notes = true; ///< words over the notes may only quote another part (a cue)
    };
    std::vector<Mark> marks;
};

/// Who plays each stretch of the notes. A change takes effect at the first note after the mark; where the
/// part's transposition changes too, at the note where it does, since "muta in La" stands where the player
/// can get ready. Words that only name an instrument may head a cue: they count if they name a clarinet of
/// another pitch or the transposition changes with them. Words that ask for another instrument always count.
std::vector<InstrumentStretch> who_plays(const std::vector<Note>&, const PlayerEvidence&,
                                         std::vector<std::string>& remarks);

/// Whether words over the notes may be about who plays.
bool may_name_player(const std::string& words);

} // namespace canebrake
