// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/text.h"

#include "engine/files/musicxml/written.h"

#include <array>
#include <cctype>
#include <charconv>
#include <set>

namespace canebrake::musicxml
{

namespace
{

bool is_space(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}
bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

} // namespace

std::string trimmed(std::string_view text)
{
    while (!text.empty() && is_space(text.front()))
        text.remove_prefix(1);
    while (!text.empty() && is_space(text.back()))
        text.remove_suffix(1);
    return std::string(text);
}

std::string lower_case(std::string_view text)
{
    std::string result(text);
    for (char& c : result)
        if (c >= 'A' && c <= 'Z')
            c = char(c - 'A' + 'a');
    return result;
}

std::optional<double> first_number(std::string_view text)
{
    const auto digit = text.find_first_of("0123456789");
    if (digit == std::string_view::npos)
        return {};
    const bool negative = digit > 0 && text[digit - 1] == '-';
    double value = 0.0;
    const auto result =
        std::from_chars(text.data() + digit, text.data() + text.size(), value, std::chars_format::fixed);
    if (result.ec != std::errc{})
        return {};
    return negative ? -value : value;
}

int whole_number(const char* text, int fallback)
{
    const std::string clean = trimmed(text);
    const char* begin = clean.c_str() + (clean.starts_with('+') ? 1 : 0);
    int value = fallback;
    if (std::from_chars(begin, clean.c_str() + clean.size(), value).ec != std::errc{})
        return fallback;
    return value;
}

std::optional<Fraction> exact_number(std::string_view text)
{
    const std::string clean = trimmed(text);
    std::int64_t num = 0, den = 1;
    bool any = false, point = false;
    for (const char c : clean) {
        if (c == '.' && !point) {
            point = true;
        } else if (is_digit(c)) {
            any = true;
            if (point && den >= 1'000'000)
                continue;
            if (num > 1'000'000'000'000)
                return {};
            num = num * 10 + (c - '0');
            den *= point ? 10 : 1;
        } else {
            return {};
        }
    }
    if (!any)
        return {};
    return Fraction::of(num, den);
}

std::vector<std::string> words_of(std::string_view text)
{
    std::vector<std::string> words(1);
    for (const char c : text) {
        const bool ends = is_space(c) || c == '.' || c == ',' || c == ';' || c == ':' || c == '(' ||
                          c == ')' || c == '-' || c == '/';
        if (!ends)
            words.back() += c;
        else if (!words.back().empty())
            words.emplace_back();
    }
    if (words.back().empty())
        words.pop_back();
    return words;
}

int step_number(const char* letter)
{
    static constexpr std::array<int, 7> from_a{5, 6, 0, 1, 2, 3, 4};
    const std::string text = trimmed(letter);
    if (text.size() != 1 || text[0] < 'A' || text[0] > 'G')
        return -1;
    return from_a[std::size_t(text[0] - 'A')];
}

int natural_number(int step, int octave)
{
    return natural_semitones[std::size_t(step)] + 12 * (octave + 1);
}

std::string bar_list(std::vector<std::string> bars)
{
    std::set<std::string> seen; // a repeat names its bars once
    std::erase_if(bars, [&](const std::string& bar) { return !seen.insert(bar).second; });
    std::string text = bars.size() == 1 ? "bar " : "bars ";
    constexpr std::size_t most = 12;
    for (std::size_t i = 0; i < bars.size() && i < most; ++i) {
        const bool last = i + 1 == bars.size();
        text += (i == 0 ? "" : last ? " and " : ", ") + bars[i];
    }
    if (bars.size() > most)
        text += " … (" + std::to_string(bars.size()) + " in all)";
    return text;
}

} // namespace canebrake::musicxml
