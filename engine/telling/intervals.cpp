// SPDX-License-Identifier: MIT
#include "engine/telling/intervals.h"

#include <array>
#include <cmath>

namespace canebrake
{

std::string number_word(std::size_t count)
{
    static constexpr std::array<const char*, 11> words{"no",  "one",   "two",   "three", "four", "five",
                                                       "six", "seven", "eight", "nine",  "ten"};
    return count < words.size() ? words[count] : std::to_string(count);
}

namespace
{

std::string interval(int semitones)
{
    static constexpr std::array<const char*, 13> names{
        "unison",        "semitone",         "whole tone", "minor third", "major third",
        "fourth",        "augmented fourth", "fifth",      "minor sixth", "major sixth",
        "minor seventh", "major seventh",    "octave"};
    const int size = std::abs(semitones);
    if (size <= 12)
        return names[std::size_t(size)];
    if (size == 19)
        return "twelfth";
    const int octaves = size / 12;
    std::string text = octaves == 1 ? "octave" : number_word(std::size_t(octaves)) + " octaves";
    if (size % 12 != 0)
        text += " and a" + std::string(size % 12 == 6 ? "n " : " ") + names[std::size_t(size % 12)];
    return text;
}

} // namespace

std::string an_interval(int semitones)
{
    const std::string name = interval(semitones);
    if (std::abs(semitones) >= 24)
        return name;
    return (name[0] == 'o' || name[0] == 'a' ? "an " : "a ") + name;
}

} // namespace canebrake
