// SPDX-License-Identifier: MIT
#pragma once

#include "engine/fingering/sound.h"
#include "engine/plan/chart.h"
#include "engine/plan/slur_speed.h"
#include "engine/plan/stray.h"

#include <optional>
#include <string>
#include <vector>

namespace canebrake
{

/// A note of the question, by both its names as the question spelled it.
struct AskedNote {
    WrittenPitch written;
    std::string written_name, sounding_name;
    int sounding = 60;
};

/// One fingering of a note. Ways that differ only in the little finger's hand count as one.
struct NoteWay {
    Fingering fingering;
    std::vector<Hands> hands; ///< the usual hand first
    FingeringSound sound;
    std::string when; ///< when a player takes it
};

struct NoteAnswer {
    AskedNote note;
    std::vector<NoteWay> ways; ///< primary first
};

struct SlurWay {
    Candidate from, to;
    Transition moves;
    SlurSpeed speed;
};

struct SlurAnswer {
    AskedNote from, to;
    SlurWay usual;                 ///< primary to primary, little fingers as best they can
    std::vector<SlurWay> better;   ///< less effort, least first, three at most
    bool over_the_break = false;   ///< throat to clarion or back
    bool other_register = false;   ///< any change of register
    std::vector<TrillWay> rocking; ///< best way to and fro, if easier and not among `better`; one or none
    std::vector<Stray> slips;      ///< what sounds if one finger is out of step, widest first, two at most
    std::optional<SlurWay>
        with_lever; ///< the usual way on an instrument with the left A♭/E♭ lever, if that is easier
};

struct TrillAnswer {
    AskedNote lower, upper;
    std::vector<TrillWay> ways; ///< best first, four at most
    std::optional<TrillWay>
        articulated; ///< with an articulated C♯/G♯ key, if that is easier and the kit has none
};

/// Quarter notes a minute at which sixteenths come so fast.
double tempo_in_sixteenths(double notes_per_s);

/// Semitones between the notes of a trill or tremolo, two octaves.
inline constexpr int widest_trill = 24;

NoteAnswer answer_note(const AskedNote&, const Chart&);
SlurAnswer answer_slur(const AskedNote& from, const AskedNote& to, TrillBook&, const Kit&);
TrillAnswer answer_trill(const AskedNote&, const AskedNote&, TrillBook&, const Kit&);

/// What stays down from the lower note to the upper.
Hands held_through(const TrillWay&);

/// Why a trill is no better than it is, one phrase a reason; empty if nothing is against it.
std::vector<std::string> reasons(const TrillWay&);

} // namespace canebrake
