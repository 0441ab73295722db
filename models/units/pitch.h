// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <array>
#include <optional>
#include <string>
#include <string_view>

namespace canebrake
{

/// Pitch as the player reads it: a chromatic number with 60 = written C4 (the MIDI 1.0 numbering).
struct WrittenPitch {
    int number = 60;
    friend constexpr bool operator==(WrittenPitch, WrittenPitch) = default;
    friend constexpr auto operator<=>(WrittenPitch, WrittenPitch) = default;
};

/// Pitch as it is heard: 69 = A4, 60 = middle C; a fraction is a microtone or a bend.
struct SoundingPitch {
    double number = 60.0;
    friend constexpr bool operator==(SoundingPitch, SoundingPitch) = default;
    friend constexpr auto operator<=>(SoundingPitch, SoundingPitch) = default;
};

/// f = A4 · 2^((m − 69)/12): equal temperament on ISO 16's A4 (440 Hz unless told otherwise).
Hertz frequency(SoundingPitch, Hertz a4);

/// The seven naturals, C … B: their letters, and semitones above C.
inline constexpr std::string_view step_letters = "CDEFGAB";
inline constexpr std::array<int, 7> natural_semitones{0, 2, 4, 5, 7, 9, 11};

/// "C#5", "Bb3", "A4": scientific pitch name of a chromatic number; sharps unless `flats`.
std::string pitch_name(int number, bool flats = false);

/// Reads "C4", "F#3", "Bb5", "c#4", "Ebb4": letter, up to two # or b, octave −1…9. Empty if it is none.
std::optional<int> pitch_number(std::string_view name);

} // namespace canebrake
