// SPDX-License-Identifier: MIT
#pragma once

#include "models/instruments/mechanism.h"

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace canebrake
{

/// The fingers that work a clarinet. The right thumb only holds a soprano; on instruments that go down to C3
/// it has keys of its own.
enum class Finger : std::uint8_t {
    left_thumb,
    left_index,
    left_middle,
    left_ring,
    left_little,
    right_index,
    right_middle,
    right_ring,
    right_little,
    right_thumb
};
inline constexpr std::size_t finger_count = 10;

constexpr bool is_left(Finger f)
{
    return f <= Finger::left_little;
}
constexpr bool is_little(Finger f)
{
    return f == Finger::left_little || f == Finger::right_little;
}
const char* name(Finger); ///< "left thumb", "right little finger"

/// Keys and holes under one finger, a bit a token (see key_tokens).
using KeySet = std::uint64_t;

/// Every token a fingering may hold, little-finger keys once a hand: "E:l" is the E/B key under the left
/// little finger, "E:r" the same pad under the right. Without a hand ("E") either may take it.
inline constexpr std::array<std::string_view, 33> key_tokens{
    "R",   "T",    "A",    "Ab", "L1", "L2", "L3", "SL",  "CS",  "S1",   "S2",
    "S3",  "S4",   "R1",   "R2", "R3", "RS", "AE", "F:l", "E:l", "FS:l", "F:r",
    "E:r", "FS:r", "AE:l", "E",  "F",  "FS", "H1", "lEb", "lD",  "lCs",  "lC"};
constexpr KeySet key(std::string_view token) ///< 0 for no token of ours
{
    for (std::size_t i = 0; i < key_tokens.size(); ++i)
        if (key_tokens[i] == token)
            return KeySet{1} << i;
    return 0;
}

/// What each finger holds down in one fingering.
struct Hands {
    std::array<KeySet, finger_count> holds{};

    KeySet& operator[](Finger f) { return holds[std::size_t(f)]; }
    KeySet operator[](Finger f) const { return holds[std::size_t(f)]; }
    KeySet all() const;
    std::string keys() const; ///< tokens in the order of key_tokens, apart by blanks
    friend bool operator==(const Hands&, const Hands&) = default;
};

/// Who works a key or hole, by the habits of the Boehm system (common practice, no source): the left index
/// rolls to the throat keys, the right index leaves its hole for the side keys, ring fingers take the
/// slivers. The hand of E, F and FS without one is the right.
Finger finger_of(std::string_view token);

/// Fingers of a fingering; throws InputError on an unknown token, and if one finger would have to be in two
/// places it cannot reach at once (which `possible` asks without throwing).
Hands hands_of(std::string_view keys);
bool possible(const Hands&);

/// Every way to give little-finger keys without a hand to one: "… E" becomes "… E:l" and "… E:r". Ways one
/// little finger cannot reach are left out; the order is that of the trade: left for E and FS, right for F.
std::vector<std::string> shared_between_hands(std::string_view keys);

/// Positions a finger can take on an instrument with this keywork, the open one (0) first.
std::vector<KeySet> positions(Finger, const Mechanism& = {});

} // namespace canebrake
