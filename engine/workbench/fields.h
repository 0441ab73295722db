// SPDX-License-Identifier: MIT
#pragma once

#include <nlohmann/json.hpp>

#include <cstdint>
#include <initializer_list>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace canebrake
{

/// The fields of a JSON object that came from outside, each read at most once. Every reader throws InputError
/// (Fault::usage): the field, what was found, what was wanted.
class Fields
{
public:
    /// Empty text is an empty object.
    explicit Fields(std::string_view json);

    std::optional<std::string> text(const char* name);
    std::optional<bool> yes(const char* name);
    std::optional<double> number(const char* name, double low, double high, const char* unit);
    std::optional<std::int64_t> whole(const char* name, std::int64_t low, std::int64_t high);
    std::optional<std::vector<std::string>> texts(const char* name);
    std::optional<std::string> object(const char* name); ///< as JSON text
    template <class Value> using Choices = std::initializer_list<std::pair<std::string_view, Value>>;
    template <class Value> std::optional<Value> one_of(const char* name, Choices<Value> choices)
    {
        const auto found = text(name);
        if (!found)
            return {};
        std::string wanted;
        for (const auto& [word, value] : choices) {
            if (word == *found)
                return value;
            wanted += (wanted.empty() ? "" : ", ") + std::string(word);
        }
        refuse(name, "one of " + wanted);
    }

    [[noreturn]] void refuse(const char* name, const std::string& wanted) const;
    /// Refuses what nobody asked for.
    void finish() const;

private:
    const nlohmann::json* find(const char* name);

    nlohmann::json json_;
    std::set<std::string> known_;
};

} // namespace canebrake
