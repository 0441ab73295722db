// SPDX-License-Identifier: MIT
#include "engine/telling/names.h"

#include "models/units/pitch.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace canebrake
{

std::string player_name(Player player)
{
    return player == Player::ideal ? "ideal" : player == Player::studio ? "studio" : "learner";
}

std::string dynamic_name(double level)
{
    static constexpr std::array<const char*, 8> ladder{"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"};
    const long rung = std::lround(level);
    return rung < 0 ? "niente" : ladder[std::size_t(std::min(rung, 7L))];
}

std::string spelled(const Note& note, int number)
{
    static constexpr std::array<int, 7> natural{0, 2, 4, 5, 7, 9, 11};
    static constexpr std::string_view letters = "CDEFGAB";
    const long moved = note.printed_step + std::lround((number - note.printed) * 7.0 / 12.0);
    const auto step = std::size_t(((moved % 7) + 7) % 7);
    const int up = ((number - natural[step]) % 12 + 12) % 12; // semitones over a natural of that letter
    const int alter = up > 6 ? up - 12 : up;
    if (std::abs(alter) > 2)
        return pitch_name(number);
    const int octave = (number - alter - natural[step]) / 12 - 1;
    return letters[step] + std::string(std::size_t(std::abs(alter)), alter < 0 ? 'b' : '#') +
           std::to_string(octave);
}

std::string written_name(WrittenPitch written)
{
    const int in_octave = written.number % 12;
    return pitch_name(written.number, in_octave == 3 || in_octave == 10); // Eb, Bb; else sharps
}

std::string sounding_name(const FamilyMember& member, WrittenPitch written)
{
    const bool sharps = member.name == "A" || member.name == "D" || member.name == "basset clarinet" ||
                        member.name == "bass in A";
    return pitch_name(written.number + member.transposition, !sharps);
}

} // namespace canebrake
