// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/units.h"

#include <array>
#include <cstddef>
#include <vector>

namespace canebrake
{

/// Where the player is heard: close in free air, in a room to practise in, or in a small hall.
enum class Room { none, small, large };

/// Octave bands a room's walls and air are known in, Hz.
inline constexpr std::array<double, 7> room_bands_hz{125, 250, 500, 1000, 2000, 4000, 8000};

/// A box with absorbing walls, a player and a listener in it.
struct RoomDesign {
    struct Place {
        double x_m, y_m, z_m;
    };
    Place size, player, listener;
    std::array<double, room_bands_hz.size()> absorption; ///< of the walls on average, by band, 0…1
    double directivity; ///< how much more power goes to the listener than all around

    double volume_m3() const;
    double surface_m2() const;
    double distance_m() const; ///< player to listener
    /// What the room promises: Eyring's reverberation time, with the air's own absorption,
    ///   T = 24 ln 10 / c · V / (−S ln(1−α) + 4 m V)
    /// (C. F. Eyring, JASA 1, 1930, 217; the form from memory, as in H. Kuttruff, Room Acoustics).
    double reverberation_s(std::size_t band) const;
};

/// `room` is not Room::none.
const RoomDesign& room_design(Room room);

/// What the room adds to the sound that comes straight: its answer to an impulse, starting where the direct
/// sound (1, not contained) arrives. Image sources of the box (J. B. Allen & D. A. Berkley, JASA 65, 1979,
/// 943; from memory) until the reflections are dense, then noise that dies band by band. Its level needs no
/// fitting: images of strength 1/(ct) stand 4π c³t²/V dense in time, so that both parts have the mean square
/// 4πc/V · e^(−13.8 t/T) per second. The same samples for the same room and rate. Left out: angles at the
/// walls, what stands in the room, the directions sound comes from (it is mono). Takes 0.1 s.
std::vector<double> room_response(const RoomDesign&, SampleRate);

} // namespace canebrake
