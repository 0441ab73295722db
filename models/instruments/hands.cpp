// SPDX-License-Identifier: MIT
#include "models/instruments/hands.h"

#include "models/units/input_error.h"

#include <algorithm>
#include <optional>

namespace canebrake
{

namespace
{

std::vector<std::string_view> words(std::string_view keys)
{
    std::vector<std::string_view> result;
    while (!keys.empty()) {
        const auto end = std::min(keys.find(' '), keys.size());
        if (end > 0)
            result.push_back(keys.substr(0, end));
        keys.remove_prefix(std::min(end + 1, keys.size()));
    }
    return result;
}

bool wants_hand(std::string_view token)
{
    return token == "E" || token == "F" || token == "FS";
}

} // namespace

const char* name(Finger f)
{
    static constexpr std::array<const char*, finger_count> names{
        "left thumb",  "left index",   "left middle", "left ring",           "left little finger",
        "right index", "right middle", "right ring",  "right little finger", "right thumb"};
    return names[std::size_t(f)];
}

KeySet Hands::all() const
{
    KeySet set = 0;
    for (const KeySet held : holds)
        set |= held;
    return set;
}

std::string Hands::keys() const
{
    std::string text;
    const KeySet set = all();
    for (std::size_t i = 0; i < key_tokens.size(); ++i)
        if (set & (KeySet{1} << i)) {
            text += text.empty() ? "" : " ";
            text += key_tokens[i];
        }
    return text;
}

Finger finger_of(std::string_view token)
{
    if (token == "T" || token == "R")
        return Finger::left_thumb;
    if (token == "L1" || token == "H1" || token == "A" || token == "Ab")
        return Finger::left_index;
    if (token == "L2")
        return Finger::left_middle;
    if (token == "L3" || token == "SL")
        return Finger::left_ring;
    if (token == "R1" || (token.size() == 2 && token[0] == 'S' && token[1] >= '1' && token[1] <= '4'))
        return Finger::right_index;
    if (token == "R2")
        return Finger::right_middle;
    if (token == "R3" || token == "RS")
        return Finger::right_ring;
    if (token == "CS" || token.ends_with(":l"))
        return Finger::left_little;
    if (token == "lD" || token == "lCs" || token == "lC")
        return Finger::right_thumb;
    return Finger::right_little;
}

std::vector<KeySet> positions(Finger f, const Mechanism& mechanism)
{
    const auto has = [&](HoleRule pad) {
        return std::find(mechanism.holes.begin(), mechanism.holes.end(), pad) != mechanism.holes.end();
    };
    const auto sets = [](std::initializer_list<std::initializer_list<std::string_view>> lists) {
        std::vector<KeySet> result{0};
        for (const auto& list : lists) {
            KeySet set = 0;
            for (const auto token : list)
                set |= key(token);
            result.push_back(set);
        }
        return result;
    };
    switch (f) {
    case Finger::left_thumb:
        return sets({{"T"}, {"T", "R"}, {"R"}});
    case Finger::left_index: // its side can touch the A♭ key while the tip covers the hole
        return mechanism.half_hole ? sets({{"L1"}, {"A"}, {"Ab"}, {"L1", "Ab"}, {"H1"}})
                                   : sets({{"L1"}, {"A"}, {"Ab"}, {"L1", "Ab"}});
    case Finger::left_middle:
        return sets({{"L2"}});
    case Finger::left_ring:
        return sets({{"L3"}, {"SL"}});
    case Finger::left_little:
        return mechanism.left_a_flat_lever ? sets({{"CS"}, {"F:l"}, {"E:l"}, {"FS:l"}, {"AE:l"}})
                                           : sets({{"CS"}, {"F:l"}, {"E:l"}, {"FS:l"}});
    case Finger::right_index: // one finger lies across two neighbouring side keys
        return sets({{"R1"}, {"S1"}, {"S2"}, {"S3"}, {"S4"}, {"S1", "S2"}, {"S3", "S4"}});
    case Finger::right_middle:
        return sets({{"R2"}});
    case Finger::right_ring:
        return sets({{"R3"}, {"RS"}});
    case Finger::right_little:
        return has(HoleRule::low_e_flat_pad) ? sets({{"AE"}, {"F:r"}, {"E:r"}, {"FS:r"}, {"lEb"}})
                                             : sets({{"AE"}, {"F:r"}, {"E:r"}, {"FS:r"}});
    case Finger::right_thumb: // layouts differ by maker; ours gives it D, C♯ and C
        return has(HoleRule::low_c_pad) ? sets({{"lD"}, {"lCs"}, {"lC"}}) : std::vector<KeySet>{0};
    }
    return {0};
}

bool possible(const Hands& hands)
{
    static const auto reach = [] {
        std::array<std::vector<KeySet>, finger_count> result;
        const Mechanism all_keys{false, true, true, {HoleRule::low_e_flat_pad, HoleRule::low_c_pad}};
        for (std::size_t i = 0; i < finger_count; ++i)
            result[i] = positions(Finger(i), all_keys);
        return result;
    }();
    for (std::size_t i = 0; i < finger_count; ++i)
        if (std::find(reach[i].begin(), reach[i].end(), hands.holds[i]) == reach[i].end())
            return false;
    return true;
}

namespace
{

Hands held(const std::vector<std::string_view>& tokens)
{
    Hands hands;
    for (const auto token : tokens) {
        const std::string with_hand = wants_hand(token) ? std::string(token) + ":r" : std::string(token);
        const KeySet bit = key(with_hand);
        if (bit == 0)
            throw InputError(
                "found key '" + std::string(token) +
                "', wanted one of T R L1-L3 R1-R3 A Ab S1-S4 SL RS CS AE E F FS, the last three also "
                "with the hand, such as E:l; below E3 lEb lD lCs lC");
        hands[finger_of(with_hand)] |= bit;
    }
    return hands;
}

} // namespace

Hands hands_of(std::string_view keys)
{
    const Hands hands = held(words(keys));
    if (!possible(hands))
        throw InputError("found '" + std::string(keys) + "', wanted keys that ten fingers can hold at once");
    return hands;
}

std::vector<std::string> shared_between_hands(std::string_view keys)
{
    std::vector<std::vector<std::string>> ways{{}};
    for (const auto token : words(keys)) {
        const bool free = wants_hand(token);
        std::vector<std::vector<std::string>> next;
        for (const auto& way : ways)
            for (const char* hand : {token == "F" ? ":r" : ":l", token == "F" ? ":l" : ":r"}) {
                next.push_back(way);
                next.back().push_back(free ? std::string(token) + hand : std::string(token));
                if (!free)
                    break;
            }
        ways = std::move(next);
    }
    std::vector<std::string> result;
    for (const auto& way : ways) {
        const std::vector<std::string_view> tokens(way.begin(), way.end());
        if (!possible(held(tokens)))
            continue;
        std::string text;
        for (const auto& token : way)
            text += (text.empty() ? "" : " ") + token;
        result.push_back(text);
    }
    return result;
}

} // namespace canebrake
