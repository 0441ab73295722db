// SPDX-License-Identifier: MIT
#include "engine/files/phrase/reader.h"

#include "engine/files/phrase/read_phrase.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace canebrake
{

PhraseReader::PhraseReader(std::string_view text) : words_(split_phrase(text))
{
    line_.part_id = "phrase";
    line_.part_name = "typed phrase";
    line_.tempo.push_back({0.0, 100.0, false});
}

Line PhraseReader::read()
{
    while (next_ < words_.size()) {
        const PhraseWord word = words_[next_++];
        if (const auto length = typed_length(word.text))
            length_ = *length;
        else if (word.text == "rest")
            add_rest(word);
        else if (!read_setting(word) && !read_mark(word) && !read_ornament(word) && !read_rocking(word) &&
                 !read_pitches(word))
            phrase_error(word);
    }
    if (line_.notes.empty())
        throw InputError("phrase: found no notes, wanted at least one pitch such as C5", Fault::usage);
    refuse_loose_ends("the end of the phrase");
    if (line_.notes.back().grace)
        throw InputError("phrase: found a grace note at the end, wanted a note after it", Fault::usage);
    end_hairpin({});
    line_.end_quarter = at_;
    if (at_ > 0.0)
        current_bar();
    if (line_.bars.size() > 1 && line_.bars.back().start_quarter >= at_ - 1e-9)
        line_.bars.pop_back(); // the phrase filled the bar before
    place_in_bars(line_);
    return line_;
}

bool PhraseReader::read_setting(const PhraseWord& word)
{
    if (const auto level = typed_dynamic(word.text)) {
        end_hairpin(level);
        put_dynamic({at_, *level, false});
    } else if (word.text == "grow" || word.text == "fade") {
        end_hairpin({});
        start_hairpin(word.text == "grow" ? 1 : -1);
    } else if (word.text == "tempo") {
        const PhraseWord& value = argument(word, "a number such as 96 after tempo");
        const auto tempo = typed_number(value.text);
        if (!tempo || *tempo < 10.0 || *tempo > 400.0)
            phrase_error(value.character, value.text, "quarters a minute from 10 to 400 after tempo");
        set_tempo(*tempo);
    } else if (word.text == "meter") {
        const PhraseWord& value = argument(word, "a time signature such as 3/4 after meter");
        const auto meter = typed_meter(value.text);
        if (!meter)
            phrase_error(value.character, value.text, "a time signature such as 3/4 after meter");
        set_meter(word, *meter);
    } else if (word.text == "bar") {
        check_bar(word);
    } else {
        return false;
    }
    return true;
}

bool PhraseReader::read_mark(const PhraseWord& word)
{
    static constexpr std::pair<std::string_view, Articulation> marks[] = {{"stacc", art_staccato},
                                                                          {"ten", art_tenuto},
                                                                          {"accent", art_accent},
                                                                          {"marcato", art_marcato},
                                                                          {"detached", art_detached_legato},
                                                                          {"hold", art_fermata},
                                                                          {"sfz", art_sforzando},
                                                                          {"fp", art_forte_piano},
                                                                          {"flutter", art_flutter},
                                                                          {"double", art_double_tongue}};
    for (const auto& [name, articulation] : marks)
        if (word.text == name) {
            marks_.push_back({word, articulation});
            if (articulation == art_forte_piano) { // loud at once, then p
                end_hairpin({});
                put_dynamic({at_, 2.0, false});
            }
            return true;
        }
    if (word.text == "grace") {
        grace_ = word;
    } else if (word.text == "breath") {
        if (rested_ || line_.notes.back().grace)
            phrase_error(word.character, word.text, "breath right after a note");
        if (join_ || running_)
            phrase_error(word.character, word.text, "no breath inside a slur");
        line_.notes.back().articulations |= art_breath_after;
    } else {
        return false;
    }
    return true;
}

bool PhraseReader::read_pitches(const PhraseWord& word)
{
    const bool joins = word.text.find('_') != std::string_view::npos;
    if (!joins && !typed_pitch(word.text))
        return false;
    std::size_t at = 0;
    while (at < word.text.size()) {
        const PhraseWord here{word.text.substr(at), word.character + int(at)};
        if (here.text[0] == '_') {
            if (rested_ || join_)
                phrase_error(here.character, here.text, "one _ between two notes that follow each other");
            join_ = here;
            ++at;
            continue;
        }
        const std::size_t end = std::min(word.text.find('_', at), word.text.size());
        const PhraseWord name{word.text.substr(at, end - at), here.character};
        const auto pitch = typed_pitch(name.text);
        if (!pitch)
            phrase_error(name.character, name.text, "a pitch such as C5 on both sides of _");
        add_note(name, *pitch, join_.has_value());
        join_.reset();
        at = end;
    }
    return true;
}

void PhraseReader::add_rest(const PhraseWord& word)
{
    refuse_loose_ends("a rest");
    if (!line_.notes.empty() && line_.notes.back().grace)
        phrase_error(word.character, word.text, "a note after a grace note");
    advance(length_);
    rested_ = true;
}

void PhraseReader::add_note(const PhraseWord& at, const TypedPitch& pitch, bool joined)
{
    std::uint16_t articulations = art_none;
    for (const Mark& mark : marks_)
        articulations |= mark.articulation;
    marks_.clear();
    const bool plain = !grace_ && ornaments_.empty() && !run_ && !fingering_;
    const bool tie = joined && plain && !running_ && !line_.notes.back().grace &&
                     line_.notes.back().printed == pitch.number;
    if (tie) {
        line_.notes.back().length_quarters = at_ - line_.notes.back().start_quarter + length_;
        line_.notes.back().articulations |= articulations;
    } else {
        if (joined)
            line_.notes.back().slurred_to_next = true;
        if (running_)
            reach_goal(at, pitch);
        Note& note = line_.notes.emplace_back();
        note.start_quarter = at_;
        note.length_quarters = grace_ ? 0.0 : length_;
        note.printed = pitch.number;
        note.printed_step = pitch.step;
        note.printed_alter = pitch.alter;
        note.sounding.number = pitch.number;
        note.grace = note.grace_slashed = grace_.has_value();
        note.articulations = articulations;
        for (const auto& [word, ornament] : ornaments_)
            note.ornaments.push_back(ornament);
        if (fingering_)
            note.fingering = fingering_->second;
        if (run_)
            running_ = {*run_, line_.notes.size() - 1};
        note.source.voice = "1";
        note.source.id = fmt::format("char {}", at.character);
    }
    if (!grace_)
        advance(length_);
    grace_.reset();
    ornaments_.clear();
    run_.reset();
    fingering_.reset();
    rested_ = false;
}

Score read_phrase(std::string_view text)
{
    constexpr std::size_t longest_phrase = 65536;
    if (text.size() > longest_phrase)
        throw InputError(
            fmt::format("phrase: found {} characters, wanted at most {}", text.size(), longest_phrase),
            Fault::usage);
    Score score;
    score.parts.push_back(PhraseReader(text).read());
    return score;
}

} // namespace canebrake
