// SPDX-License-Identifier: MIT
#include "engine/telling/names.h"

#include "engine/spelling/fifths.h"
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
    const long moved = note.printed_step + std::lround((number - note.printed) * 7.0 / 12.0);
    const int step = positive_mod(int(moved), 7);
    const int up =
        positive_mod(number - natural_semitones[std::size_t(step)], 12); // over that letter's natural
    const int alter = up > 6 ? up - 12 : up;
    return std::abs(alter) > 2 ? pitch_name(number) : spelled_name(number, {step, alter});
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
