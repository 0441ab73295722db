// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/pitch.h"

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// One way a member is written down: the clef its reader sees, and sounding minus written in semitones.
struct Notation {
    std::string clef; ///< "treble" or "bass"
    int transposition = 0;
};

/// A stretch of a member's compass, and how it tends to sound and to pull there. Common practice, no source.
struct RegisterTendency {
    std::string name; ///< extension, chalumeau, throat, clarion, altissimo
    WrittenPitch from, to;
    std::string tone, pitch; ///< one short sentence each
};

/// What a clarinet stands or hangs on; hands are free for the next instrument that much later.
enum class Support { none, strap, peg };

/// A member of the clarinet family as the trade knows it: what it is called, how it is written, how far it
/// goes, what it takes to pick it up. Not its acoustics: those are an Instrument's. Data: family.csv; where
/// each column comes from: SOURCES.md beside it.
struct FamilyMember {
    std::string name;  ///< unique; what --instrument takes
    std::string title; ///< "clarinet in B♭"
    std::vector<std::string> aliases;
    int transposition = 0;           ///< sounding minus written, semitones, in the usual notation
    std::vector<Notation> notations; ///< the usual one first
    WrittenPitch lowest, top_section, top_professional, top_extreme;
    std::vector<std::string> sound_ids; ///< MusicXML; the first is the member's own
    int midi_program = 71;              ///< 0–127; General MIDI has one clarinet for all
    double breath_factor = 1.0, tongue_factor = 1.0;
    std::string mouthpiece_group; ///< members of one group commonly share one mouthpiece
    Support support = Support::none;
    int clarion_vents = 1;            ///< register vents of the clarion; low ones change over by themselves
    bool half_hole_altissimo = false; ///< the first finger's half-hole, from C♯6 up only
    std::string played_on;            ///< name of the member it is read on as a rule; empty: itself
    std::vector<RegisterTendency> registers;
    std::string reed, mouthpiece;

    /// Whether some notation of this member sounds `semitones` from written.
    bool written_at(int semitones) const;
};

/// The whole family, highest first.
std::span<const FamilyMember> family();

/// By name or alias, whatever the case. nullptr: there is none.
const FamilyMember* member_named(std::string_view);

/// "E-flat, D, C … or contrabass", for messages.
std::string family_names();

/// Whether it can be played today: it has an acoustic model, an Instrument of its name.
bool has_model(const std::string& name);
/// "B-flat", "B-flat or A": those that have one, for messages.
std::string names_with_model();

/// Common practice, no source: seconds for a change of instrument.
struct ChangeTime {
    double risky_below_s = 5.0;
    double safe_from_s = 8.0;
    double shared_mouthpiece_s = 0.0; ///< more, if one mouthpiece serves both; 0: it does not
};
/// nullptr: an instrument outside the family.
ChangeTime change_time(const FamilyMember* from, const FamilyMember* to);

} // namespace canebrake
