// SPDX-License-Identifier: MIT
#pragma once

#include "models/bore/geometry.h"
#include "models/instruments/mechanism.h"
#include "models/units/pitch.h"

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// When a player takes a fingering: as the usual one; for what comes before or after; to darken and to have
/// the right hand ready; or only in passing (a trill), where neither tone nor tuning would bear holding.
enum class FingeringUse { primary, alternate, resonance, trill };

/// One way to finger a written note.
struct Fingering {
    WrittenPitch written;
    std::string keys;           ///< tokens, e.g. "R T L1 L2 L3 R1 R2 R3 E": see mechanism.h
    std::string name = "plain"; ///< the trade's word: side, sliver, fork, long ...; plain where it has none
    FingeringUse use = FingeringUse::alternate;
    bool primary = false; ///< use == FingeringUse::primary
    int register_number =
        1; ///< mode of the bore that carries the note (1 chalumeau and throat, 2 clarion, 3+ altissimo)
    HoleState holes;             ///< without the register vent's bit
    double vent = 0.0;           ///< opening of the register vent, 0…1
    std::size_t vent_number = 0; ///< which of Instrument::vents that is
};

/// How to blow a note at one dynamic: solved by the calibration, kept as data.
struct Blowing {
    double gamma = 0.5;         ///< mouth pressure over closing pressure
    double zeta = 0.25;         ///< embouchure
    double closing_pa = 5000.0; ///< reed closing pressure
    double cents = 0.0;      ///< the instrument's own deviation from equal temperament, before any correction
    double level_db = -20.0; ///< RMS of the settled note, re full scale at the instrument's gain
    double start_gamma = 0.5; ///< what the note needs at the tongue's release to speak
    double start_hold_s =
        0.02; ///< how long that breath is kept before it sinks to gamma, in half that time or 20 ms
    double tract_ratio = 0.0; ///< vocal-tract resonance over the wanted pitch; 0: the tract stays out
    double tract_zc = 0.0;    ///< its height over Zc
};

/// Share of the start's breath left `since_s` after the tongue let go: 1, then sinking to 0.
double start_breath(const Blowing&, double since_s);

/// An instrument as data. Everything a player does not decide.
struct Instrument {
    std::string name;       ///< "B-flat"
    std::string title;      ///< "clarinet in B♭"
    int transposition = -2; ///< sounding minus written, semitones
    WrittenPitch lowest{52}, top_section{88}, top_professional{91}, top_extreme{96};
    Geometry geometry;
    Mechanism mechanism; ///< without a kit's extras
    std::size_t vent_index = 0;
    std::vector<std::size_t> vents{
        0}; ///< register vents as hole indices; low clarinets have two, the first is vent_index
    double vent_radius_m = 1.5e-3, vent_chimney_m = 12.6e-3;
    std::size_t mode_count = 32; ///< modes a table holds: 32 reach 7 kHz on a soprano; longer bores need more
    double reed_hz = 2600.0;     ///< resonance of the reed under the lip; longer reeds are slower
    double reed_window = 1.0;    ///< width of the reed times the opening it leaves, over the B♭'s
    double gain = 1.0;           ///< full scale per unit of radiated pressure
    double breath_factor = 1.0;  ///< how long the air lasts, re a soprano
    double tongue_factor = 1.0;  ///< how fast the tongue repeats, re a soprano
    std::vector<Fingering> fingerings;           ///< by written pitch, primaries first
    std::vector<std::array<Blowing, 8>> blowing; ///< one an entry of `fingerings`: ppp … fff

    /// Holes, vent and its number that follow from a fingering's keys.
    void work_out_holes(Fingering&, const Mechanism&) const;
    const Fingering* primary(WrittenPitch) const; ///< nullptr off the instrument
    /// Blowing of a fingering at a ladder level 0…7, between the table's steps.
    Blowing blowing_at(std::size_t fingering, double level) const;
};

/// Readers of the tables; each throws InputError naming table, row, what was found and what was wanted.
Geometry read_geometry(std::string_view bore_csv, std::string_view holes_csv, const std::string& x_column);
std::vector<Fingering> read_fingerings(std::string_view csv, const Instrument& = {});

/// What is told of an instrument beside its tables: a row of models.csv.
struct InstrumentFacts {
    std::string name, title, folder;
    int transposition = -2;
    WrittenPitch lowest{52}, top_section{88}, top_professional{91}, top_extreme{96};
    double breath_factor = 1.0, tongue_factor = 1.0;
    std::size_t mode_count = 32;
    bool half_hole = false;
    double reed_hz = 2600.0;
    double reed_window = 1.0;
};
std::vector<InstrumentFacts> instrument_facts();

/// An instrument from its tables, not yet blown: every `blowing` is a default. For the maker and the
/// calibration.
Instrument instrument_from(const InstrumentFacts&, std::string_view bore_csv, std::string_view holes_csv,
                           std::string_view fingerings_csv);

/// By name as the trade says it: "B-flat". Its tables are compiled in (models/instruments/*/). Throws
/// InputError (Fault::usage) listing the known ones. May be called from several threads.
const Instrument& instrument_named(const std::string&);
const Instrument& b_flat_soprano();

} // namespace canebrake
