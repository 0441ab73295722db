// SPDX-License-Identifier: MIT
#pragma once

#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

namespace canebrake
{

// Values of options, from text. Each throws InputError (Fault::usage): option, found, wanted.

[[noreturn]] inline void refuse(std::string_view option, std::string_view found, const std::string& wanted)
{
    throw InputError(fmt::format("{}: found '{}', wanted {}", option, found, wanted), Fault::usage);
}

/// All of `text` as a number, or empty.
template <class Number> std::optional<Number> number_in(std::string_view text)
{
    Number value{};
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (text.empty() || error != std::errc() || end != text.data() + text.size())
        return {};
    return value;
}

inline double number_within(std::string_view option, const std::string& text, double low, double high,
                            std::string_view unit)
{
    const auto value = number_in<double>(text);
    if (!value || !(*value >= low && *value <= high)) // the first form refuses what is not a number too
        refuse(option, text, fmt::format("{} to {} {}", low, high, unit));
    return *value;
}

template <class Value> using Choices = std::initializer_list<std::pair<std::string_view, Value>>;

/// One of several words.
template <class Value> Value one_of(std::string_view option, const std::string& text, Choices<Value> choices)
{
    std::string wanted;
    std::size_t said = 0;
    for (const auto& [name, value] : choices) {
        if (name == text)
            return value;
        wanted += fmt::format("{}{}", said == 0 ? "" : said + 1 == choices.size() ? " or " : ", ", name);
        ++said;
    }
    refuse(option, text, wanted);
}

/// A file's ending in small letters, with its point.
inline std::string ending_of(const std::filesystem::path& path)
{
    std::string ending = path.extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(),
                   [](unsigned char c) { return char(std::tolower(c)); });
    return ending;
}

} // namespace canebrake
