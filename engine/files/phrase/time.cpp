// SPDX-License-Identifier: MIT
#include "engine/files/phrase/reader.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace canebrake
{

const PhraseWord& PhraseReader::argument(const PhraseWord& word, const std::string& wanted)
{
    if (next_ == words_.size())
        phrase_error(word.character, word.text, wanted);
    return words_[next_++];
}

void PhraseReader::advance(double quarters)
{
    // Sums of thirds, fifths and sevenths land on the place that is meant.
    constexpr double places_a_quarter = 20160.0; // 2520, the common multiple of 1 … 10, times 8
    at_ += quarters;
    const double place = std::round(at_ * places_a_quarter);
    if (std::abs(at_ * places_a_quarter - place) < 1e-6)
        at_ = place / places_a_quarter;
}

Bar& PhraseReader::current_bar()
{
    double next = 0.0;
    if (!line_.bars.empty())
        next = line_.bars.back().start_quarter + line_.bars.back().length_quarters;
    while (line_.bars.empty() || next <= at_ + 1e-9) {
        const bool pick_up = !line_.bars.empty() && line_.bars[0].number == "0";
        const double length = 4.0 * meter_.beats / meter_.beat_type;
        line_.bars.push_back({std::to_string(line_.bars.size() + (pick_up ? 0 : 1)),
                              next,
                              length,
                              meter_.beats,
                              meter_.beat_type,
                              {}});
        next += length;
    }
    return line_.bars.back();
}

void PhraseReader::set_tempo(double quarters_per_minute)
{
    if (line_.tempo.back().quarter == at_)
        line_.tempo.pop_back();
    line_.tempo.push_back({at_, quarters_per_minute, false});
}

void PhraseReader::set_meter(const PhraseWord& at, TypedMeter meter)
{
    Bar& bar = current_bar();
    if (std::abs(bar.start_quarter - at_) > 1e-9)
        phrase_error(at.character, at.text,
                     fmt::format("a new meter at a bar line; bar {} is not full", bar.number));
    meter_ = meter;
    bar.length_quarters = 4.0 * meter.beats / meter.beat_type;
    bar.beats = meter.beats;
    bar.beat_type = meter.beat_type;
}

void PhraseReader::check_bar(const PhraseWord& at)
{
    Bar& bar = current_bar();
    const double into = at_ - bar.start_quarter;
    if (into > 1e-9) {
        if (line_.bars.size() > 1 || bar_checked_) // only the first can be a pick-up
            phrase_error(at.character, at.text,
                         fmt::format("a full bar before it; bar {} has {:.6g} of {:.6g} quarters", bar.number,
                                     into, bar.length_quarters));
        bar.length_quarters = into;
        bar.number = "0";
    }
    bar_checked_ = true;
}

void PhraseReader::put_dynamic(DynamicPoint point)
{
    if (!line_.dynamics.empty() && line_.dynamics.back().quarter == point.quarter &&
        (line_.dynamics.size() < 2 || !line_.dynamics[line_.dynamics.size() - 2].ramp))
        line_.dynamics.pop_back(); // the word typed last counts; the end of a hairpin stays
    line_.dynamics.push_back(point);
}

void PhraseReader::start_hairpin(int direction)
{
    hairpin_ = direction;
    if (line_.dynamics.empty())
        line_.remarks.push_back("no dynamic before the first grow or fade: started from mf");
    const double level = line_.dynamics.empty() ? 4.0 : line_.dynamics.back().level;
    if (!line_.dynamics.empty() && line_.dynamics.back().quarter == at_)
        line_.dynamics.back().ramp = true;
    else
        line_.dynamics.push_back({at_, level, true});
}

void PhraseReader::end_hairpin(std::optional<double> level)
{
    if (hairpin_ == 0)
        return;
    const int direction = hairpin_;
    hairpin_ = 0;
    DynamicPoint& start = line_.dynamics.back();
    if (start.quarter == at_) { // nothing sounded under it
        start.ramp = false;
        return;
    }
    // Towards the dynamic that follows; one step if none does, or if it lies the other way.
    if (level && (*level - start.level) * direction > 0.0)
        return; // the caller's point is the end
    const double reached = std::clamp(start.level + direction, std::min(start.level, 0.0), 7.0);
    line_.dynamics.push_back({at_, reached, false});
}

void PhraseReader::refuse_loose_ends(const std::string& before)
{
    const auto refuse = [&](const PhraseWord& word) {
        phrase_error(word.character, word.text, "a note after it, not " + before);
    };
    if (join_)
        refuse({"_", join_->character});
    if (!marks_.empty())
        refuse(marks_.front().word);
    if (grace_)
        refuse(*grace_);
    if (!ornaments_.empty())
        refuse(ornaments_.front().first);
    if (fingering_)
        refuse(fingering_->first);
    if (run_)
        refuse(*run_);
    if (running_)
        phrase_error(running_->word.character, running_->word.text, "two notes after it, not " + before);
}

std::string phrase_grammar()
{
    return R"(A phrase is typed as words with blanks between them, such as

  tempo 96 mf 1/8 E4_G4_B4_C5 grow 1/4 D5 stacc A4 f B4 rest

Pitch       letter, then # ## b or bb, then octave: C5, F#4, Bb3. C4 is middle
            C. Written pitch, unless told otherwise.
Fraction    1/4, 3/8, 1/12 (a triplet eighth), 1/4+1/16: the length of what
            follows, in parts of a whole note, until the next. At first 1/4.
_           slurs the notes on its two sides: C5_D5. At the end or start of a
            word it joins across words: 1/8 E4_G4_ 1/4 C5. Between two of the
            same pitch it is a tie. Notes without _ are tongued.
rest        silence of the length that holds
Dynamics    niente ppp pp p mp mf f ff fff, from here on
grow, fade  louder or softer from here to the next dynamic, or by one step to
            the next grow or fade, or to the end
Marks       stacc ten accent marcato detached sfz fp hold: for the next note
            only. hold is a fermata; fp goes on at p.
grace       the next note is a short grace note
trill       the next note is trilled with the whole tone above it; trill half
            with the semitone
mordent     the next note dips once to the semitone below it; mordent whole to
            the whole tone; mordent up touches the whole tone above it, mordent
            up half the semitone
turn        the next note is turned round: above, itself, below, itself; turn
            late at its end. Above is the whole tone; with half, the semitone
tremolo     the next note is repeated by the tongue as fast as it goes
rock A4 C5  the two notes in turn, slurred, as fast as they go, for the length
            that holds
gliss       the next note runs in semitones to the note after it
slide       the next note is drawn up or down to the note after it
flutter     the next note is flutter-tongued
double      the next note is double-tongued
by T+L1+R1  fingers the next note: keys and fingers joined by +, or a word of
            the trade: sliver side fork long short open one-and-one one-and-two
            resonance, and L or R for the little finger
breath      the player breathes after the note before
tempo 96    quarters a minute, from here on. At first 100.
meter 3/4   time signature, from this bar on. At first 4/4.
bar         checks that a bar is full here; before the first is full, it makes
            that one a pick-up
)";
}

} // namespace canebrake
