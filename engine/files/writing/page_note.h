// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/musicxml/notes.h"
#include "engine/files/writing/page_values.h"
#include "engine/line/line.h"

#include <pugixml.hpp>
#include <string>
#include <vector>

namespace canebrake::musicxml
{

/// MusicXML's word for an alteration in semitones, halves too; null: it has none.
const char* accidental_word(double alter);

/// What a printed note has besides its value.
struct NoteSigns {
    bool first = true, last = true; ///< of the printed notes that make one note
    bool tie_start = false, tie_stop = false;
    bool slur_start = false, slur_stop = false;
    bool run_stop = false; ///< a glissando or slide arrives
    bool slide_stop = false;
    bool rocks_start = false, rocks_stop = false; ///< two-note tremolo
    bool breath = false;                          ///< besides the line's own
    std::string fingering{};                      ///< as printed; empty: none
    double micro = 0.0;                           ///< semitones off the printed pitch
};

/// Prints notes: pitch, accidental where key and bar ask for one, value, signs in the schema's order.
class NotePrinter
{
public:
    NotePrinter(std::int64_t divisions, std::vector<std::string>& remarks)
        : divisions_(divisions), remarks_(remarks)
    {
    }
    void set_key(const pugi::xml_node& key) { heard_.read_key(key); }
    void begin_bar();

    void print_rest(pugi::xml_node measure, const Piece&);
    void print_note(pugi::xml_node measure, const Note&, const Piece&, const NoteSigns&);
    /// `place` in a group of `count` small notes before or after a main note.
    void print_grace(pugi::xml_node measure, const Note&, const NoteSigns&, std::size_t place,
                     std::size_t count);

private:
    struct Pitch {
        int step = 0, octave = 4;
        double alter = 0.0;
        int natural() const;
    };
    Pitch pitch_of(const Note&, double micro);
    static Pitch goal_of(const Note&, const Pitch&);
    void print_pitch(pugi::xml_node note, const Pitch&);
    void print_accidental(pugi::xml_node note, const Pitch&, bool tied);
    void print_value(pugi::xml_node note, const Piece&);
    void print_tuplet(pugi::xml_node note, const Piece&);
    void print_notations(pugi::xml_node note, const Note&, const Pitch&, const Piece&, const NoteSigns&);
    void print_ornament(pugi::xml_node ornaments, const Ornament&, const Pitch&, const Piece&);
    void print_neighbour(pugi::xml_node ornaments, const Pitch&, int way, int semitones);
    std::string duration(Fraction) const;

    std::int64_t divisions_;
    std::vector<std::string>& remarks_;
    bool octave_said_ = false;
    KeyState heard_; ///< as the reader follows it, to know the neighbours of trills
    std::map<std::pair<int, int>, double> shown_; ///< accidentals printed in this bar
};

} // namespace canebrake::musicxml
