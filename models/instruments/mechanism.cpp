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

constexpr std::array<std::string_view, 26> tokens{"T",  "R",  "L1", "L2", "L3",  "R1", "R2",  "R3", "A",
                                                  "Ab", "S1", "S2", "S3", "S4",  "SL", "RS",  "CS", "AE",
                                                  "E",  "F",  "FS", "H1", "lEb", "lD", "lCs", "lC"};

constexpr std::array<std::string_view, 29> rule_names{
    "vent",         "lower_vent",     "side4",     "side3",           "throat_a",       "throat_a_flat",
    "upper_pad",    "thumb",          "side2",     "left1",           "bridge_pad",     "left2",
    "left_sliver",  "side1",          "left3",     "c_sharp",         "right_ring_pad", "right1",
    "right_sliver", "right2",         "right3",    "a_flat_e_flat",   "f_c_pad",        "f_sharp_c_sharp",
    "e_b_pad",      "low_e_flat_pad", "low_d_pad", "low_c_sharp_pad", "low_c_pad"};

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
    const std::vector<HoleRule>& holes = mechanism.holes.empty() ? soprano_holes() : mechanism.holes;
    const bool two_vents = std::find(holes.begin(), holes.end(), HoleRule::lower_vent) != holes.end();
    // The keys below E3 shut every pad from the F/C pad down to their own.
    const bool lC = is_down("lC"), lCs = lC || is_down("lCs"), lD = lCs || is_down("lD"),
               lEb = lD || is_down("lEb");
    const auto opens = [&](HoleRule rule) {
        switch (rule) {
        case HoleRule::vent:
            return is_down("R") && !(two_vents && R3);
        case HoleRule::lower_vent:
            return is_down("R") && R3;
        case HoleRule::side4:
            return is_down("S4");
        case HoleRule::side3:
            return is_down("S3");
        case HoleRule::throat_a:
            return A;
        case HoleRule::throat_a_flat: // the A key lifts the A flat pad as well
            return is_down("Ab") || A;
        case HoleRule::upper_pad: // shut by the thumb's ring or the first finger's
            return !T && !L1;
        case HoleRule::thumb:
            return !T;
        case HoleRule::side2:
            return is_down("S2");
        case HoleRule::left1:
            return !L1;
        case HoleRule::bridge_pad: // shut by the second finger's ring, or through the bridge by the right
                                   // hand
            return !L2 && !ring;
        case HoleRule::left2:
            return !L2;
        case HoleRule::left_sliver:
            return is_down("SL");
        case HoleRule::side1:
            return is_down("S1");
        case HoleRule::left3:
            return !L3;
        case HoleRule::c_sharp:
            return is_down("CS") && !(mechanism.articulated_c_sharp && ring);
        case HoleRule::right_ring_pad:
            return !ring;
        case HoleRule::right1:
            return !R1;
        case HoleRule::right_sliver:
            return is_down("RS");
        case HoleRule::right2:
            return !R2;
        case HoleRule::right3:
            return !R3;
        case HoleRule::a_flat_e_flat:
            return is_down("AE");
        case HoleRule::f_c_pad:
            return !(E || F || FS || lEb);
        case HoleRule::f_sharp_c_sharp: // opens its own pad while shutting the F/C pad
            return FS;
        case HoleRule::e_b_pad:
            return !(E || lEb);
        case HoleRule::low_e_flat_pad:
            return !lEb;
        case HoleRule::low_d_pad:
            return !lD;
        case HoleRule::low_c_sharp_pad:
            return !lCs;
        case HoleRule::low_c_pad:
            return !lC;
        }
        return false;
    };
    HoleState state;
    for (std::size_t i = 0; i < holes.size(); ++i) {
        state.open |= opens(holes[i]) ? 1u << i : 0u;
        state.half |= holes[i] == HoleRule::left1 && is_down("H1") && !L1 ? 1u << i : 0u;
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
