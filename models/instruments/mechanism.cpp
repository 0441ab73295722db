// SPDX-License-Identifier: MIT
#include "models/instruments/mechanism.h"

#include "models/units/input_error.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <string>

namespace canebrake
{

namespace
{

constexpr std::array<std::string_view, 26> tokens{"T",  "R",  "L1", "L2", "L3",  "R1", "R2",  "R3", "A",
                                                  "Ab", "S1", "S2", "S3", "S4",  "SL", "RS",  "CS", "AE",
                                                  "E",  "F",  "FS", "H1", "lEb", "lD", "lCs", "lC"};

constexpr std::array<std::string_view, 29> rule_names{
    "vent",         "lower_vent",     "side4",     "side3",           "throat_a",       "throat_a_flat",
    "upper_pad",    "thumb",          "side2",     "left1",           "bridge_pad",     "left2",
    "left_sliver",  "side1",          "left3",     "c_sharp",         "right_ring_pad", "right1",
    "right_sliver", "right2",         "right3",    "a_flat_e_flat",   "f_c_pad",        "f_sharp_c_sharp",
    "e_b_pad",      "low_e_flat_pad", "low_d_pad", "low_c_sharp_pad", "low_c_pad"};

/// A set of keys and fingers: bit i is tokens[i].
using Tokens = std::uint32_t;

/// Those named, apart by spaces; a word that is no token does not compile.
consteval Tokens set(std::string_view names)
{
    Tokens result = 0;
    while (!names.empty()) {
        const auto end = std::min(names.find(' '), names.size());
        const auto at = std::find(tokens.begin(), tokens.end(), names.substr(0, end));
        if (at == tokens.end())
            throw "no such token";
        result |= Tokens{1} << (at - tokens.begin());
        names.remove_prefix(std::min(end + 1, names.size()));
    }
    return result;
}

constexpr Tokens rings = set("R1 R2 R3"); // of the right hand

/// What a hole's pad or finger obeys: it is open while one of `opened_by` is down (if that is empty: by
/// itself) and none of `shut_by`.
struct Linkage {
    Tokens opened_by, shut_by;
};

/// One a HoleRule, in that order. Besides, the two vents share the right ring finger, and the C♯/G♯ pad may
/// be articulated.
constexpr std::array<Linkage, rule_names.size()> linkages{{
    {set("R"), 0},                    // vent
    {set("R"), 0},                    // lower_vent
    {set("S4"), 0},                   // side4
    {set("S3"), 0},                   // side3
    {set("A"), 0},                    // throat_a
    {set("Ab A"), 0},                 // throat_a_flat: the A key lifts the A flat pad as well
    {0, set("T L1")},                 // upper_pad: shut by the thumb's ring or the first finger's
    {0, set("T")},                    // thumb
    {set("S2"), 0},                   // side2
    {0, set("L1")},                   // left1
    {0, set("L2") | rings},           // bridge_pad: by the second finger's ring, or over the bridge
    {0, set("L2")},                   // left2
    {set("SL"), 0},                   // left_sliver
    {set("S1"), 0},                   // side1
    {0, set("L3")},                   // left3
    {set("CS"), 0},                   // c_sharp
    {0, rings},                       // right_ring_pad
    {0, set("R1")},                   // right1
    {set("RS"), 0},                   // right_sliver
    {0, set("R2")},                   // right2
    {0, set("R3")},                   // right3
    {set("AE"), 0},                   // a_flat_e_flat
    {0, set("E F FS lEb lD lCs lC")}, // f_c_pad; the keys below E3 shut every pad from here to their own
    {set("FS"), 0},                   // f_sharp_c_sharp: opens its own pad while shutting the F/C pad
    {0, set("E lEb lD lCs lC")},      // e_b_pad
    {0, set("lEb lD lCs lC")},        // low_e_flat_pad
    {0, set("lD lCs lC")},            // low_d_pad
    {0, set("lCs lC")},               // low_c_sharp_pad
    {0, set("lC")},                   // low_c_pad
}};

const std::vector<HoleRule>& soprano_holes()
{
    using enum HoleRule;
    static const std::vector<HoleRule> holes{
        vent,   side4,        side3,  throat_a,    throat_a_flat, upper_pad, thumb,           side2,
        left1,  bridge_pad,   left2,  left_sliver, side1,         left3,     c_sharp,         right_ring_pad,
        right1, right_sliver, right2, right3,      a_flat_e_flat, f_c_pad,   f_sharp_c_sharp, e_b_pad};
    return holes;
}

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
                         "SL RS CS AE E F FS (E, F and FS may name the hand: E:l, E:r) H1 lEb lD lCs lC");
    if (key == "AE" && hand == ":l" && !mechanism.left_a_flat_lever)
        throw InputError("found key 'AE:l', wanted AE: this instrument has no left A flat/E flat lever");
    return std::size_t(at - tokens.begin());
}

} // namespace

HoleState boehm_holes(std::string_view keys, const Mechanism& mechanism)
{
    Tokens down = 0;
    while (!keys.empty()) {
        const auto end = std::min(keys.find(' '), keys.size());
        const auto word = keys.substr(0, end);
        keys.remove_prefix(std::min(end + 1, keys.size()));
        if (!word.empty())
            down |= Tokens{1} << token_index(word, mechanism);
    }
    const std::vector<HoleRule>& holes = mechanism.holes.empty() ? soprano_holes() : mechanism.holes;
    const bool two_vents = std::find(holes.begin(), holes.end(), HoleRule::lower_vent) != holes.end();
    const auto opens = [&](HoleRule rule) {
        const Linkage& by = linkages[std::size_t(rule)];
        if ((rule == HoleRule::lower_vent && !(down & set("R3"))) ||
            (rule == HoleRule::vent && two_vents && (down & set("R3"))) ||
            (rule == HoleRule::c_sharp && mechanism.articulated_c_sharp && (down & rings)))
            return false;
        return (by.opened_by == 0 || (down & by.opened_by)) && !(down & by.shut_by);
    };
    HoleState state;
    for (std::size_t i = 0; i < holes.size(); ++i) {
        state.open |= opens(holes[i]) ? 1u << i : 0u;
        const bool half = holes[i] == HoleRule::left1 && (down & set("H1")) && !(down & set("L1"));
        state.half |= half ? 1u << i : 0u;
    }
    return state;
}

std::vector<HoleRule> hole_rules(const Geometry& geometry)
{
    std::vector<HoleRule> rules;
    for (const ToneHole& hole : geometry.holes) {
        const auto at = std::find(rule_names.begin(), rule_names.end(), hole.name);
        if (at == rule_names.end())
            throw InputError("holes.csv: found hole '" + hole.name +
                             "', wanted a hole of the Boehm clarinet");
        rules.push_back(HoleRule(at - rule_names.begin()));
    }
    return rules;
}

std::vector<std::size_t> Mechanism::vents() const
{
    if (holes.empty())
        return {boehm_vent};
    std::vector<std::size_t> result;
    for (const HoleRule rule : {HoleRule::vent, HoleRule::lower_vent})
        if (const auto at = std::find(holes.begin(), holes.end(), rule); at != holes.end())
            result.push_back(std::size_t(at - holes.begin()));
    return result;
}

} // namespace canebrake
