// SPDX-License-Identifier: MIT
#include "engine/plan/chart.h"

#include "models/units/input_error.h"

#include <algorithm>
#include <cmath>
#include <sstream>

namespace canebrake
{

namespace
{

constexpr int most_pitches = 129;
constexpr double other_hand = 0.3; // costs less than any finger
constexpr double lip_takes_out_cents = 15.0;

/// Ways to hold these keys: little fingers shared out, and the A♭/E♭ pad by the lever where there is one.
std::vector<std::string> held_ways(const std::string& keys, const Mechanism& mechanism)
{
    std::vector<std::string> ways = shared_between_hands(keys);
    if (!mechanism.left_a_flat_lever)
        return ways;
    for (const std::string& way : std::vector<std::string>(ways)) {
        const auto at = way.find("AE");
        if (at == std::string::npos || way.find("AE:l") != std::string::npos)
            continue;
        for (const std::string& lever : shared_between_hands(std::string(way).replace(at, 2, "AE:l")))
            ways.push_back(lever);
    }
    return ways;
}

std::vector<std::string> words_of(const std::string& text)
{
    std::istringstream in(text);
    std::vector<std::string> words;
    for (std::string word; in >> word;)
        words.push_back(word);
    return words;
}

bool works(const Candidate& candidate, bool left)
{
    return candidate.hands[left ? Finger::left_little : Finger::right_little] != 0;
}

/// Whether a candidate answers to one word of the trade.
bool answers(const Candidate& candidate, const std::string& word)
{
    if (word == "L" || word == "left")
        return works(candidate, true);
    if (word == "R" || word == "right")
        return works(candidate, false);
    return candidate.fingering.name == word;
}

} // namespace

Mechanism keywork(const Instrument& instrument, const Kit& kit)
{
    Mechanism mechanism = instrument.mechanism;
    mechanism.articulated_c_sharp = kit.articulated_c_sharp;
    mechanism.left_a_flat_lever = kit.left_a_flat_lever;
    return mechanism;
}

Chart::Chart(const Instrument& instrument, const Kit& kit)
    : instrument_(instrument), mechanism_(keywork(instrument, kit))
{
    for (std::size_t row = 0; row < instrument.fingerings.size(); ++row) {
        const Fingering& plain = instrument.fingerings[row];
        double habit = 0.0;
        for (const std::string& keys : held_ways(plain.keys, mechanism_)) {
            Candidate c;
            c.fingering = plain;
            c.fingering.keys = keys;
            instrument.work_out_holes(c.fingering, mechanism_);
            c.hands = hands_of(keys);
            c.blown_as = row;
            c.habit = habit;
            c.out_of_tune =
                std::max(0.0, std::abs(instrument.blowing_at(row, 4.0).cents) - lip_takes_out_cents);
            candidates_.push_back(std::move(c));
            habit = other_hand;
        }
    }
    begin_.assign(most_pitches + 1, 0);
    std::size_t at = 0;
    for (int pitch = 0; pitch <= most_pitches; ++pitch) { // the instrument's rows are in order
        while (at < candidates_.size() && candidates_[at].fingering.written.number < pitch)
            ++at;
        begin_[std::size_t(pitch)] = at;
    }
}

std::span<const Candidate> Chart::ways(WrittenPitch written) const
{
    if (written.number < 0 || written.number >= most_pitches)
        return {};
    const std::size_t from = begin_[std::size_t(written.number)],
                      to = begin_[std::size_t(written.number) + 1];
    return {candidates_.data() + from, to - from};
}

std::vector<Candidate> Chart::asked_for(WrittenPitch written, const std::string& text) const
{
    const auto words = words_of(text);
    const auto here = ways(written);
    if (words.empty() || here.empty())
        return {};
    const bool all_keys = std::all_of(words.begin(), words.end(), [](const auto& w) { return key(w) != 0; });
    const bool hand_only = words.size() == 1 && words[0] == "R"; // the right hand, not the register key alone
    if (all_keys && !hand_only) {
        std::vector<Candidate> result;
        for (const std::string& keys : held_ways(text, mechanism_))
            result.push_back(made_of(written, keys));
        return result;
    }
    std::vector<Candidate> result(here.begin(), here.end());
    for (const auto& word : words)
        std::erase_if(result, [&](const Candidate& c) { return !answers(c, word); });
    // Who asks for a hand means the note's own key, not one more that a trill would hold down.
    const auto passing = [](const Candidate& c) { return c.fingering.use == FingeringUse::trill; };
    if (!std::all_of(result.begin(), result.end(), passing) && words[0] != "trill")
        std::erase_if(result, passing);
    return result;
}

Candidate Chart::made_of(WrittenPitch written, const std::string& keys) const
{
    Candidate c;
    c.hands = hands_of(keys);
    for (const Candidate& known : ways(written))
        if (known.hands == c.hands)
            return known;
    c.fingering.written = written;
    c.fingering.keys = keys;
    c.fingering.name = "asked for";
    if (!ways(written).empty()) {
        const Candidate& primary = ways(written).front();
        c.fingering.register_number = primary.fingering.register_number;
        c.blown_as = primary.blown_as;
    }
    instrument_.work_out_holes(c.fingering, mechanism_);
    return c;
}

} // namespace canebrake
