// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <vector>

namespace canebrake
{

/// `ideal`: what a keyboard mock-up promises: tempered, even, seamless. `studio`: a professional at ease.
/// `learner`: every crossing can be heard.
enum class Player { ideal, studio, learner };

/// How well the player knows the line. Rehearsing makes the fingers' verdicts one step easier, preparing two;
/// range, breath, the tongue's top speed and pitch stay as they are.
enum class Reading { sight, rehearsed, prepared };

/// The player and what they bring. Verdicts are given for this kit, and a verdict that another kit would
/// change says so. The default is a professional at sight with a plain 17-key Boehm clarinet; what is not
/// asked for here (other key systems) is not judged.
struct Kit {
    Player level = Player::studio;
    Reading reading = Reading::sight;
    bool left_a_flat_lever = false;   ///< A-flat/E-flat for the left little finger too
    bool articulated_c_sharp = false; ///< C-sharp/G-sharp shuts with the right hand: its trills become easy
    bool low_e_flat = false;          ///< one more key below E3 on the sopranos
    bool low_c_bass = false;          ///< the bass goes down to written C3; without, to E-flat3
    bool double_tongue = false;       ///< two strokes in turn; raises the tongue's limit
    bool circular_breathing = false;  ///< takes breath while playing: no slur is too long
    std::vector<std::string> instruments{"B-flat", "A"}; ///< those the player owns, by their names for --on
};

} // namespace canebrake
