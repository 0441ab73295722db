// SPDX-License-Identifier: MIT
#include "cli/terminal/columns.h"

#include <algorithm>
#include <array>
#include <utility>

namespace canebrake
{

std::size_t columns_of(std::string_view utf8)
{
    return std::size_t(std::count_if(utf8.begin(), utf8.end(),
                                     [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

std::string wrapped(std::string_view text, std::size_t indent, std::size_t at, std::size_t width)
{
    std::string result;
    bool fresh = true; // nothing on this line yet
    for (std::size_t from = 0; from < text.size();) {
        const std::size_t to = std::min(text.find(' ', from), text.size());
        const std::string_view one = text.substr(from, to - from);
        from = to + 1;
        if (one.empty())
            continue;
        const std::size_t wide = columns_of(one);
        if (!fresh && at + 1 + wide > width) {
            result += '\n' + std::string(indent, ' ');
            at = indent;
            fresh = true;
        }
        result += (fresh ? "" : " ") + std::string(one);
        at += wide + (fresh ? 0 : 1);
        fresh = false;
    }
    return result;
}

std::string plain_ascii(std::string_view utf8)
{
    static constexpr std::array<std::pair<std::string_view, std::string_view>, 4> signs{
        {{"♭", "-flat"}, {"♯", "-sharp"}, {"♩", "quarter"}, {"…", "..."}}};
    std::string text(utf8);
    for (const auto& [sign, words] : signs)
        for (std::size_t at; (at = text.find(sign)) != std::string::npos;)
            text.replace(at, sign.size(), words);
    // Whatever a file's names hold besides: one mark for each sign.
    std::string ascii;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (byte < 0x80)
            ascii += c;
        else if ((byte & 0xC0) != 0x80)
            ascii += '?';
    }
    return ascii;
}

} // namespace canebrake
