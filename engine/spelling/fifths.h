// SPDX-License-Identifier: MIT
#pragma once

#include <array>
#include <string>

namespace canebrake
{

// The line of fifths: … E♭ −3, B♭ −2, F −1, C 0, G 1, D 2 … each name a place of its own, twelve places
// between two names of one pitch. On it the seven notes of a key signature with n sharps are n−1 … n+5, and
// the interval between two names is their distance: up to 5 the plain ones (fifth, major second, minor third,
// major third, minor second), 6 the tritone, 7 the chromatic semitone, 8 and more the augmented and
// diminished ones. (D. Temperley, The Cognition of Basic Musical Structures, 2001, chapter 5; from memory.)

/// A note's name without its octave: step 0 = C … 6 = B, alter in semitones.
struct NoteName {
    int step = 0;
    int alter = 0;
    friend constexpr bool operator==(NoteName, NoteName) = default;
};

constexpr int positive_mod(int value, int by) noexcept
{
    return (value % by + by) % by;
}

constexpr int fifths_of(NoteName name) noexcept
{
    constexpr std::array<int, 7> natural{0, 2, 4, -1, 1, 3, 5};
    return natural[std::size_t(positive_mod(name.step, 7))] + 7 * name.alter;
}

constexpr NoteName name_at(int fifths) noexcept
{
    constexpr std::array<int, 7> steps_from_f{3, 0, 4, 1, 5, 2, 6};
    const int column = positive_mod(fifths + 1, 7);
    return {steps_from_f[std::size_t(column)], (fifths + 1 - column) / 7};
}

/// Whether a place belongs to the key signature with so many sharps (flats below 0).
constexpr bool in_signature(int fifths, int key) noexcept
{
    return fifths >= key - 1 && fifths <= key + 5;
}

/// "F#4", "Eb5", "C##5": the name, written as `pitch_number` reads it, with the octave of the chromatic
/// number it stands for (60 = C4).
std::string spelled_name(int number, NoteName);

} // namespace canebrake
