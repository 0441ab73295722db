// SPDX-License-Identifier: MIT
#include "models/instruments/mechanism.h"

#include "models/units/input_error.h"

#include <algorithm>
#include <array>
#include <string>

namespace canebrake
{

namespace
{

constexpr std::array<std::string_view, 21> tokens{"T",  "R",  "L1", "L2", "L3", "R1", "R2",
                                                  "R3", "A",  "Ab", "S1", "S2", "S3", "S4",
                                                  "SL", "RS", "CS", "AE", "E",  "F",  "FS"};

/// Index into `tokens` of a word with or without its hand.
std::size_t token_index(std::string_view word, const Mechanism& mechanism)
{
    const auto colon = word.find(':');
    const std::string_view key = word.substr(0, colon), hand = word.substr(std::min(colon, word.size()));
    const auto at = std::find(tokens.begin(), tokens.end(), key);
    const bool both_hands = key == "E" || key == "F" || key == "FS";
    const bool named =
        hand == ":l" ? both_hands || key == "AE" : hand.empty() || (hand == ":r" && both_hands);
    if (at == tokens.end() || !named)
        throw InputError("found key '" + std::string(word) +
                         "', wanted one of T R L1-L3 R1-R3 A Ab S1-S4 "
                         "SL RS CS AE E F FS (E, F and FS may name the hand: E:l, E:r)");
    if (key == "AE" && hand == ":l" && !mechanism.left_a_flat_lever)
        throw InputError("found key 'AE:l', wanted AE: this instrument has no left A flat/E flat lever");
    return std::size_t(at - tokens.begin());
}

} // namespace

HoleState boehm_holes(std::string_view keys, const Mechanism& mechanism)
{
    std::array<bool, tokens.size()> down{};
    while (!keys.empty()) {
        const auto end = std::min(keys.find(' '), keys.size());
        const auto word = keys.substr(0, end);
        keys.remove_prefix(std::min(end + 1, keys.size()));
        if (!word.empty())
            down[token_index(word, mechanism)] = true;
    }
    const auto is_down = [&](std::string_view name) {
        for (std::size_t i = 0; i < tokens.size(); ++i)
            if (tokens[i] == name)
                return down[i];
        return false;
    };
    const bool T = is_down("T"), L1 = is_down("L1"), L2 = is_down("L2"), L3 = is_down("L3");
    const bool R1 = is_down("R1"), R2 = is_down("R2"), R3 = is_down("R3");
    const bool ring = R1 || R2 || R3;
    const bool E = is_down("E"), F = is_down("F"), FS = is_down("FS"), A = is_down("A");
    const std::array<bool, boehm_hole_count> open{
        is_down("R"),       // register vent
        is_down("S4"),      //
        is_down("S3"),      //
        A,                  // throat A
        is_down("Ab") || A, // the A key lifts the A flat pad as well
        !T && !L1,          // upper pad: shut by the thumb's ring or the first finger's
        !T,                 //
        is_down("S2"),      //
        !L1,                //
        !L2 && !ring,       // shut by the second finger's ring, or through the bridge by the right hand
        !L2,                //
        is_down("SL"),      //
        is_down("S1"),      //
        !L3,                //
        is_down("CS") && !(mechanism.articulated_c_sharp && ring),
        !ring,           // right-hand ring pad
        !R1,             //
        is_down("RS"),   //
        !R2,             //
        !R3,             //
        is_down("AE"),   //
        !(E || F || FS), //
        FS,              // FS opens its own pad while shutting the F/C pad
        !E,              //
    };
    HoleState state;
    for (std::size_t i = 0; i < open.size(); ++i)
        state.open |= open[i] ? 1u << i : 0u;
    return state;
}

} // namespace canebrake
