// SPDX-License-Identifier: MIT
#pragma once

#include "models/instruments/hands.h"
#include "models/instruments/instrument.h"

#include <string>
#include <vector>

namespace canebrake
{

// The tube lies from the mouthpiece, left, to the bell, right, with its holes to scale. Real holes lie around
// the tube; here they lie in three lanes. Filled is closed, empty is open. Beneath, where they are down, the
// fingers of each hand by a letter: t thumb, i index, m middle, r ring, l little finger.

enum class Lane { side_keys, fingers, pads };
inline constexpr std::size_t lane_count = 3;
inline constexpr const char* lane_names[lane_count]{"side keys", "fingers", "pads"};

/// A hole as drawn.
struct DrawnHole {
    double x_m = 0.0, radius_m = 0.0;
    Lane lane = Lane::pads;
    bool open = false, vent = false;
};

/// A finger that is down, over what it holds.
struct DrawnFinger {
    double x_m = 0.0;
    bool left = false;
    char letter = ' ';
    friend bool operator==(const DrawnFinger&, const DrawnFinger&) = default;
};

/// Bit i is hole i, the register vent's as well.
std::uint32_t open_holes(const Instrument&, const Fingering&);

std::vector<DrawnHole> drawn_holes(const Instrument&, const Fingering&);
std::vector<DrawnFinger> drawn_fingers(const Instrument&, const Hands&);

/// The picture in text, 79 columns at most, each line ended. `utf8` draws with ● and ○, otherwise with @ and
/// o.
std::string text_diagram(const Instrument&, const Fingering&, const Hands&, bool utf8);

/// What the picture's signs mean, one or two lines of text.
std::string diagram_legend(const Instrument&, bool utf8);

} // namespace canebrake
