// SPDX-License-Identifier: MIT
#include "engine/files/phrase/reader.h"
#include "models/instruments/hands.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>

namespace canebrake
{

namespace
{

constexpr std::array<std::string_view, 11> trade_words{
    "sliver", "side", "fork", "long", "one-and-one", "resonance", "L", "R", "open", "one-and-two", "short"};

/// Keys joined by + as text with blanks; a trade word as it is; otherwise empty.
std::string typed_fingering(std::string_view text)
{
    if (std::find(trade_words.begin(), trade_words.end(), text) != trade_words.end())
        return std::string(text);
    std::string keys;
    for (std::size_t at = 0; at <= text.size();) {
        const std::size_t end = std::min(text.find('+', at), text.size());
        const std::string_view token = text.substr(at, end - at);
        if (key(token) == 0)
            return {};
        keys += (keys.empty() ? "" : " ") + std::string(token);
        at = end + 1;
    }
    return keys;
}

} // namespace

bool PhraseReader::follows(std::string_view word)
{
    if (next_ == words_.size() || words_[next_].text != word)
        return false;
    ++next_;
    return true;
}

bool PhraseReader::read_ornament(const PhraseWord& word)
{
    Ornament ornament{OrnamentKind::trill, 2, 0, 1};
    bool up = false;
    if (word.text == "trill" || word.text == "mordent" || word.text == "turn") {
        // Above, a whole tone unless told otherwise; below, a semitone.
        std::optional<int> asked;
        for (bool more = true; more;) {
            if (follows("half"))
                asked = 1;
            else if (follows("whole"))
                asked = 2;
            else if (word.text == "mordent" && follows("up"))
                up = true;
            else if (word.text == "turn" && follows("late"))
                ornament.delayed = true;
            else
                more = false;
        }
        if (word.text == "mordent") {
            ornament.kind = up ? OrnamentKind::inverted_mordent : OrnamentKind::mordent;
            ornament.semitones = asked.value_or(up ? 2 : 1);
        } else {
            ornament.kind = word.text == "turn" ? OrnamentKind::turn : OrnamentKind::trill;
            ornament.semitones = asked.value_or(2);
        }
        ornaments_.push_back({word, ornament});
    } else if (word.text == "tremolo") {
        ornaments_.push_back({word, {OrnamentKind::tremolo, 0, 0}});
    } else if (word.text == "gliss" || word.text == "slide") {
        run_ = word;
    } else if (word.text == "by") {
        const std::string wanted = "a fingering after by: keys such as T+L1+R1, or sliver, side, fork, long, "
                                   "one-and-one, resonance, L or R";
        const PhraseWord& typed = argument(word, wanted);
        const std::string fingering = typed_fingering(typed.text);
        if (fingering.empty())
            phrase_error(typed.character, typed.text, wanted);
        fingering_ = {word, fingering};
    } else {
        return false;
    }
    return true;
}

bool PhraseReader::read_rocking(const PhraseWord& word)
{
    if (word.text != "rock")
        return false;
    const std::string wanted = "two pitches such as A4 C5 after rock";
    const auto pitch_after = [&](const PhraseWord& at) {
        const auto pitch = typed_pitch(at.text);
        if (!pitch)
            phrase_error(at.character, at.text, wanted);
        return *pitch;
    };
    const PhraseWord& one_word = argument(word, wanted);
    const TypedPitch one = pitch_after(one_word);
    // A slur may go on from the second: rock A4 C5_E5.
    const PhraseWord& typed = argument(word, wanted);
    const std::size_t end = std::min(typed.text.find('_'), typed.text.size());
    const PhraseWord other_word{typed.text.substr(0, end), typed.character};
    const TypedPitch other = pitch_after(other_word);
    if (other.number == one.number)
        phrase_error(other_word.character, other_word.text, "two different pitches after rock");
    Ornament rocking{OrnamentKind::two_note_tremolo, other.number - one.number, 0, 1};
    rocking.letters = letters_between(one, other);
    ornaments_.push_back({word, rocking});
    add_note(one_word, one, join_.has_value());
    join_.reset();
    if (end < typed.text.size())
        read_pitches({typed.text.substr(end), typed.character + int(end)});
    return true;
}

void PhraseReader::reach_goal(const PhraseWord& at, const TypedPitch& goal)
{
    Note& note = line_.notes[running_->note];
    const TypedPitch from{note.printed, note.printed_step, note.printed_alter};
    if (goal.number == from.number)
        phrase_error(at.character, at.text,
                     fmt::format("another pitch than {} to {} to", pitch_name(from.number),
                                 running_->word.text == "slide" ? "slide" : "run"));
    Ornament run{running_->word.text == "slide" ? OrnamentKind::slide : OrnamentKind::glissando,
                 goal.number - from.number, 0, 1};
    run.letters = letters_between(from, goal);
    note.ornaments.push_back(run);
    running_.reset();
}

} // namespace canebrake
