// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <cstddef>
#include <string>
#include <vector>

namespace canebrake
{

/// What a place of the music is by its content: its notes, and those around it. Each as its sounding pitch
/// and length in quarters: "Bb4 0.5".
struct Identity {
    std::vector<std::string> notes;         ///< its own
    std::vector<std::string> before, after; ///< at most six each way, in playing order
};

/// Of the notes from one to another, both included.
Identity identity_of(const Line&, std::size_t from, std::size_t to);

/// How much of what surrounds two places is the same, 0…1: the longest common subsequence on each side.
/// Places with other notes of their own are never alike: 0.
double likeness(const Identity&, const Identity&);

/// Finds old places again among those there are now, each once: in their order first, so that equal figures
/// keep their turn, then wherever one still stands. Result: for each of `now` the old one, or −1. A place
/// that stands in the same bar at the same beat needs no likeness of its surroundings, only its own notes.
struct KnownPlace {
    Identity identity;
    std::string bar;
    double beat = 1.0;
};
std::vector<int> found_again(const std::vector<KnownPlace>& old, const std::vector<KnownPlace>& now);

} // namespace canebrake
