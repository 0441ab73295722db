// SPDX-License-Identifier: MIT
#include "models/units/pitch.h"

#include <array>
#include <cctype>

namespace canebrake
{

Hertz frequency(SoundingPitch pitch, Hertz a4)
{
    return {a4.value * std::exp2((pitch.number - 69.0) / 12.0)};
}

std::string pitch_name(int number, bool flats)
{
    static constexpr std::array<const char*, 12> sharp_names{"C",  "C#", "D",  "D#", "E",  "F",
                                                             "F#", "G",  "G#", "A",  "A#", "B"};
    static constexpr std::array<const char*, 12> flat_names{"C",  "Db", "D",  "Eb", "E",  "F",
                                                            "Gb", "G",  "Ab", "A",  "Bb", "B"};
    const int step = ((number % 12) + 12) % 12;
    const int octave = (number - step) / 12 - 1;
    return (flats ? flat_names : sharp_names)[std::size_t(step)] + std::to_string(octave);
}

std::optional<int> pitch_number(std::string_view name)
{
    static constexpr std::array<int, 7> from_a{9, 11, 0, 2, 4, 5, 7};
    if (name.empty())
        return {};
    const char letter = char(std::toupper(static_cast<unsigned char>(name[0])));
    if (letter < 'A' || letter > 'G')
        return {};
    int number = from_a[std::size_t(letter - 'A')];
    std::size_t i = 1;
    const char sign = i < name.size() ? name[i] : ' ';
    for (; i < name.size() && i < 3 && name[i] == sign && (sign == '#' || sign == 'b'); ++i)
        number += sign == '#' ? 1 : -1;
    int octave_sign = 1;
    if (i < name.size() && name[i] == '-') {
        octave_sign = -1;
        ++i;
    }
    if (i + 1 != name.size() || !std::isdigit(static_cast<unsigned char>(name[i])))
        return {};
    const int octave = octave_sign * (name[i] - '0');
    if (octave < -1)
        return {};
    return number + 12 * (octave + 1);
}

} // namespace canebrake
