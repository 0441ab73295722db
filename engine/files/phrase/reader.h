// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/phrase/words.h"
#include "engine/line/line.h"

#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace canebrake
{

/// Turns the words of a typed phrase into a Line, one after the other; `read_phrase` is all a caller needs,
/// and `phrase_grammar` is the grammar as its user reads it. In short:
///
///   phrase  = { length | pitches | word }            separated by blanks
///   length  = n/d { +n/d }                           fractions of a whole note; hold until the next
///   pitches = [_] pitch { _ pitch } [_]              `_` slurs; between two of the same pitch it ties
///   pitch   = letter [ # | ## | b | bb ] octave      C4 is middle C; written pitch unless the caller says
///   word    = rest | dynamic | grow | fade | mark | ornament | rock pitch pitch | breath | tempo N |
///             meter n/d | bar
///   mark    = stacc | ten | accent | marcato | detached | hold | grace | sfz | fp | flutter | double |
///             by fingering                            for the next note only
///   ornament = (trill | mordent [up] | turn [late]) [half | whole] | tremolo | gliss | slide
///
/// Choices where the trade leaves room: ornaments go up a whole tone, `half` a semitone, and down a semitone,
/// `whole` a whole tone; `gliss` and `slide` lead from the next note to the one after it; `rock` is one note
/// of the length that holds; `grace` is the short slashed kind; `fp` goes on at p; a `grow` or `fade` that
/// meets no dynamic before the next of them or before the end moves one step; started before any dynamic it
/// starts from mf. A first `bar` before the first bar is full makes that bar a pick-up, numbered 0.
class PhraseReader
{
public:
    explicit PhraseReader(std::string_view text);
    Line read();

private:
    struct Mark {
        PhraseWord word;
        std::uint16_t articulation = art_none;
    };
    bool read_setting(const PhraseWord&); ///< tempo, meter, bar, dynamics, hairpins
    bool read_mark(const PhraseWord&);    ///< what belongs to one note
    bool read_ornament(const PhraseWord&);
    bool read_rocking(const PhraseWord&); ///< rock A4 C5
    bool read_pitches(const PhraseWord&);
    void add_rest(const PhraseWord&);
    void add_note(const PhraseWord& at, const TypedPitch&, bool joined);

    const PhraseWord& argument(const PhraseWord&, const std::string& wanted);
    bool follows(std::string_view word); ///< and takes it
    void reach_goal(const PhraseWord& at, const TypedPitch&);
    void advance(double quarters);
    void set_tempo(double quarters_per_minute);
    void set_meter(const PhraseWord& at, TypedMeter);
    void check_bar(const PhraseWord& at);
    void start_hairpin(int direction);
    void end_hairpin(std::optional<double> level);
    void put_dynamic(DynamicPoint);
    void refuse_loose_ends(const std::string& before); ///< marks or a slur waiting for a note
    Bar& current_bar();                                ///< makes bars up to the present place

    std::vector<PhraseWord> words_;
    std::size_t next_ = 0;
    Line line_;
    double at_ = 0.0;     ///< quarters from the start
    double length_ = 1.0; ///< of the next note: a quarter until told
    TypedMeter meter_;
    bool bar_checked_ = false;

    std::vector<Mark> marks_; ///< for the next note
    std::optional<PhraseWord> grace_;
    std::vector<std::pair<PhraseWord, Ornament>> ornaments_;      ///< for the next note
    std::optional<std::pair<PhraseWord, std::string>> fingering_; ///< for the next note
    std::optional<PhraseWord> run_;                               ///< gliss or slide, for the next note
    struct Running {
        PhraseWord word;
        std::size_t note = 0;
    };
    std::optional<Running> running_; ///< a gliss or slide that waits for its goal
    std::optional<PhraseWord> join_; ///< a `_` waiting for its second note
    bool rested_ = true;             ///< nothing sounds before the present place
    int hairpin_ = 0;                ///< +1 growing, −1 fading
};

} // namespace canebrake
