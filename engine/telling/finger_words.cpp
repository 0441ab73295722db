// SPDX-License-Identifier: MIT
#include "engine/telling/finger_words.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace canebrake
{
namespace
{

struct TokenWords {
    std::string_view token;
    std::string_view key;  ///< what lies under the finger
    std::string_view hole; ///< in holes.csv: what it stops or opens
};

constexpr std::array<TokenWords, 33> token_words{{
    {"R", "the register key", "vent"},
    {"T", "its hole", "thumb"},
    {"A", "the A key", "throat_a"},
    {"Ab", "the G-sharp key", "throat_a_flat"},
    {"L1", "its hole", "left1"},
    {"L2", "its hole", "left2"},
    {"L3", "its hole", "left3"},
    {"SL", "the left sliver key", "left_sliver"},
    {"CS", "C-sharp/G-sharp", "c_sharp"},
    {"S1", "the lowest side key", "side1"},
    {"S2", "the second side key", "side2"},
    {"S3", "the third side key", "side3"},
    {"S4", "the top side key", "side4"},
    {"R1", "its hole", "right1"},
    {"R2", "its hole", "right2"},
    {"R3", "its hole", "right3"},
    {"RS", "the right sliver key", "right_sliver"},
    {"AE", "A-flat/E-flat", "a_flat_e_flat"},
    {"F:l", "F/C", "f_c_pad"},
    {"E:l", "E/B", "e_b_pad"},
    {"FS:l", "F-sharp/C-sharp", "f_sharp_c_sharp"},
    {"F:r", "F/C", "f_c_pad"},
    {"E:r", "E/B", "e_b_pad"},
    {"FS:r", "F-sharp/C-sharp", "f_sharp_c_sharp"},
    {"AE:l", "the A-flat/E-flat lever", "a_flat_e_flat"},
    {"E", "E/B", "e_b_pad"},
    {"F", "F/C", "f_c_pad"},
    {"FS", "F-sharp/C-sharp", "f_sharp_c_sharp"},
    {"H1", "the half-hole", "left1"},
    {"lEb", "low E-flat", "low_e_flat_pad"},
    {"lD", "low D", "low_d_pad"},
    {"lCs", "low C-sharp", "low_c_sharp_pad"},
    {"lC", "low C", "low_c_pad"},
}};

constexpr std::array<std::pair<std::string_view, std::string_view>, 29> hole_words{{
    {"vent", "register vent"},
    {"side4", "top side key"},
    {"side3", "third side key"},
    {"throat_a", "A key"},
    {"throat_a_flat", "G-sharp key"},
    {"upper_pad", "upper ring pad"},
    {"thumb", "thumb hole"},
    {"side2", "second side key"},
    {"left1", "left index"},
    {"bridge_pad", "bridge pad"},
    {"left2", "left middle"},
    {"left_sliver", "left sliver"},
    {"side1", "lowest side key"},
    {"left3", "left ring"},
    {"c_sharp", "C-sharp/G-sharp"},
    {"right_ring_pad", "right ring pad"},
    {"right1", "right index"},
    {"right_sliver", "right sliver"},
    {"right2", "right middle"},
    {"right3", "right ring"},
    {"a_flat_e_flat", "A-flat/E-flat"},
    {"f_c_pad", "F/C"},
    {"f_sharp_c_sharp", "F-sharp/C-sharp"},
    {"e_b_pad", "E/B"},
    {"lower_vent", "lower register vent"},
    {"low_e_flat_pad", "low E-flat"},
    {"low_d_pad", "low D"},
    {"low_c_sharp_pad", "low C-sharp"},
    {"low_c_pad", "low C"},
}};

const TokenWords* words_of(std::string_view token)
{
    const auto found = std::find_if(token_words.begin(), token_words.end(),
                                    [&](const TokenWords& t) { return t.token == token; });
    return found == token_words.end() ? nullptr : &*found;
}

void add(std::string& text, const std::string& more, const char* between = ", ")
{
    if (!more.empty())
        text += (text.empty() ? "" : between) + more;
}

std::string without_article(std::string text)
{
    return text.starts_with("the ") ? text.substr(4) : text;
}

std::string little_in_words(const Hands& hands)
{
    std::string text;
    for (const Finger f : {Finger::left_little, Finger::right_little})
        if (hands[f] != 0)
            add(text, std::string(name(f)) + " on " + held_in_words(f, hands[f]));
    return text;
}

/// "left index and ring", "all three left fingers".
std::string holes_of_a_hand(const Hands& hands, bool left)
{
    static constexpr std::array<std::string_view, 3> tokens[]{{"R1", "R2", "R3"}, {"L1", "L2", "L3"}};
    static constexpr std::array<const char*, 3> fingers{"index", "middle", "ring"};
    std::string text;
    std::size_t count = 0, last = 0;
    for (std::size_t i = 0; i < 3; ++i)
        if (hands.all() & key(tokens[left][i])) {
            ++count;
            last = i;
        }
    if (count == 3)
        return left ? "the three left fingers" : "the three right fingers";
    for (std::size_t i = 0; i < 3; ++i)
        if (hands.all() & key(tokens[left][i]))
            add(text, fingers[i], i == last ? " and " : ", ");
    return text.empty() ? text : (left ? "left " : "right ") + text;
}

std::string all_but_little(const Hands& hands)
{
    const KeySet all = hands.all();
    const auto down = [&](std::string_view token) { return (all & key(token)) != 0; };
    std::string text;
    if (down("R"))
        add(text, "register key");
    if (down("T"))
        add(text, "thumb");
    for (const char* token : {"A", "Ab", "H1", "SL"})
        if (down(token))
            add(text, without_article(std::string(words_of(token)->key)));
    const std::string left = holes_of_a_hand(hands, true), right = holes_of_a_hand(hands, false);
    if (left == "the three left fingers" && right == "the three right fingers") {
        add(text, "all six fingers");
    } else {
        add(text, left);
        add(text, right);
    }
    if (const KeySet side = hands[Finger::right_index] & ~key("R1"); side != 0)
        add(text, without_article(held_in_words(Finger::right_index, side)));
    if (down("RS"))
        add(text, "right sliver key");
    if (const KeySet low = hands[Finger::right_thumb]; low != 0)
        add(text, "right thumb on " + held_in_words(Finger::right_thumb, low));
    return text;
}

} // namespace

std::string held_in_words(Finger, KeySet set)
{
    if (set == (key("S1") | key("S2")))
        return "the two lower side keys";
    if (set == (key("S3") | key("S4")))
        return "the two upper side keys";
    std::string text;
    // The thumb and the index name their hole first, then the key they reach for.
    for (const bool holes : {true, false})
        for (std::size_t i = 0; i < key_tokens.size(); ++i)
            if (set & (KeySet{1} << i)) {
                const std::string words(words_of(key_tokens[i])->key);
                if ((words == "its hole") == holes)
                    add(text, words, " and ");
            }
    return text;
}

std::string keys_in_words(const Hands& hands)
{
    std::string text = all_but_little(hands);
    add(text, little_in_words(hands));
    return text.empty() ? "no finger down" : text;
}

std::string keys_in_words(std::span<const Hands> ways)
{
    std::string text = keys_in_words(ways.front());
    const std::string first = little_in_words(ways.front());
    std::string others;
    for (const Hands& way : ways.subspan(1)) {
        std::string other = little_in_words(way);
        const auto key_of = [](const std::string& words) { return words.substr(words.find(" on ") + 4); };
        if (other.find(',') == std::string::npos && key_of(other) == key_of(first))
            other = other.starts_with("left") ? "the left" : "the right";
        add(others, other, " or ");
    }
    return others.empty() ? text : text + " (or " + others + ")";
}

std::string hole_in_words(std::string_view hole)
{
    for (const auto& [name, words] : hole_words)
        if (name == hole)
            return std::string(words);
    std::string text(hole);
    std::replace(text.begin(), text.end(), '_', ' ');
    return text;
}

std::string holes_in_words(const Geometry& geometry, std::uint32_t holes)
{
    std::string text;
    for (std::size_t h = 0; h < geometry.holes.size(); ++h)
        if (holes >> h & 1u)
            add(text, hole_in_words(geometry.holes[h].name));
    return text.empty() ? "none" : text;
}

std::string_view hole_at(std::string_view token)
{
    const TokenWords* found = words_of(token);
    return found == nullptr ? std::string_view() : found->hole;
}

std::string limit_in_words(SlurLimit limit)
{
    switch (limit) {
    case SlurLimit::fingers:
        return "";
    case SlurLimit::break_step:
        return "the break, with register key and fingers at once";
    case SlurLimit::throat_leap:
        return "a leap between throat and clarion";
    case SlurLimit::new_register:
        return "the new register has to speak";
    case SlurLimit::wide:
        return "so wide a leap has to be voiced";
    case SlurLimit::hangs:
        return "downward the high note hangs on";
    }
    return "";
}

std::string cents_in_words(double cents)
{
    const long whole = std::lround(cents);
    return (whole > 0 ? "+" : "") + std::to_string(whole);
}

std::string finger_alone(Finger f)
{
    const std::string whole = name(f);
    return whole.substr(whole.find(' ') + 1);
}

} // namespace canebrake
