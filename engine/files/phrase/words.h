// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/input_error.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// One blank-separated piece of a typed phrase and where it begins (characters from 1, as a reader counts
/// them).
struct PhraseWord {
    std::string_view text;
    int character = 1;
};
std::vector<PhraseWord> split_phrase(std::string_view text);

/// `phrase, character 17: found 'H4', wanted …`
[[noreturn]] void phrase_error(int character, std::string_view found, const std::string& wanted);
/// The same with the usual list of what may stand there, and the nearest word if one is near.
[[noreturn]] void phrase_error(const PhraseWord&);

struct TypedPitch {
    int number = 60, step = 0, alter = 0;
};
/// "C#5": a letter, up to two # or b, an octave 0–9, within MIDI's 0–127.
std::optional<TypedPitch> typed_pitch(std::string_view);
/// Letter names from one to the other, over octaves; down is negative.
int letters_between(const TypedPitch& from, const TypedPitch& to);

/// "1/8", "1/4+1/16": fractions of a whole note, in quarter notes. Parts from 1 to 128, sum at most 32 whole
/// notes.
std::optional<double> typed_length(std::string_view);

/// A plain number such as 96 or 92.5.
std::optional<double> typed_number(std::string_view);

/// "3/4": beats (1–64) and their kind (1, 2, 4 … 64).
struct TypedMeter {
    int beats = 4, beat_type = 4;
};
std::optional<TypedMeter> typed_meter(std::string_view);

/// Level on the dynamic ladder of "ppp" … "fff" or "niente".
std::optional<double> typed_dynamic(std::string_view);

} // namespace canebrake
