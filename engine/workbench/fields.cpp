// SPDX-License-Identifier: MIT
#include "engine/workbench/fields.h"

#include "models/units/input_error.h"

#include <fmt/format.h>

#include <cmath>

namespace canebrake
{
namespace
{

constexpr std::size_t shown = 60; // of a value, in a message
constexpr int deepest = 16;       // what is in what; no field needs more than three

/// InputError if lists and objects lie deeper in each other than that: a value is told by going down into it.
bool shallow(int depth, nlohmann::json::parse_event_t, nlohmann::json&)
{
    if (depth > deepest)
        throw InputError(fmt::format("question: found lists in lists, wanted at most {}", deepest),
                         Fault::usage);
    return true;
}

std::string short_form(const nlohmann::json& value)
{
    std::string text = value.dump(-1, ' ', true, nlohmann::json::error_handler_t::replace);
    return text.size() <= shown ? text : text.substr(0, shown) + "…";
}

} // namespace

Fields::Fields(std::string_view json)
{
    if (json.find_first_not_of(" \t\r\n") == std::string_view::npos) {
        json_ = nlohmann::json::object();
        return;
    }
    json_ = nlohmann::json::parse(json, shallow, false);
    if (json_.is_discarded())
        throw InputError("question: found something that is no JSON, wanted an object", Fault::usage);
    if (!json_.is_object())
        throw InputError(fmt::format("question: found {}, wanted an object", short_form(json_)),
                         Fault::usage);
}

const nlohmann::json* Fields::find(const char* name)
{
    known_.insert(name);
    const auto at = json_.find(name);
    return at == json_.end() || at->is_null() ? nullptr : &*at;
}

void Fields::refuse(const char* name, const std::string& wanted) const
{
    const auto at = json_.find(name);
    throw InputError(
        fmt::format("{}: found {}, wanted {}", name, at == json_.end() ? "nothing" : short_form(*at), wanted),
        Fault::usage);
}

std::optional<std::string> Fields::text(const char* name)
{
    const nlohmann::json* value = find(name);
    if (value == nullptr)
        return {};
    if (!value->is_string())
        refuse(name, "a text");
    return value->get<std::string>();
}

std::optional<bool> Fields::yes(const char* name)
{
    const nlohmann::json* value = find(name);
    if (value == nullptr)
        return {};
    if (!value->is_boolean())
        refuse(name, "true or false");
    return value->get<bool>();
}

std::optional<double> Fields::number(const char* name, double low, double high, const char* unit)
{
    const nlohmann::json* value = find(name);
    if (value == nullptr)
        return {};
    const auto wanted = [&] { return fmt::format("{} to {} {}", low, high, unit); };
    if (!value->is_number())
        refuse(name, wanted());
    const double number = value->get<double>();
    if (!(number >= low && number <= high))
        refuse(name, wanted());
    return number;
}

std::optional<std::int64_t> Fields::whole(const char* name, std::int64_t low, std::int64_t high)
{
    const nlohmann::json* value = find(name);
    if (value == nullptr)
        return {};
    const auto wanted = [&] { return fmt::format("a whole number from {} to {}", low, high); };
    if (value->is_number_float()) { // 2.0 is whole
        const double number = value->get<double>();
        if (number != std::floor(number) || number < double(low) || number > double(high) || number >= 0x1p63)
            refuse(name, wanted());
        return std::int64_t(number);
    }
    if (!value->is_number_integer() ||
        (value->is_number_unsigned() && value->get<std::uint64_t>() > std::uint64_t(INT64_MAX)))
        refuse(name, wanted());
    const auto number = value->get<std::int64_t>();
    if (number < low || number > high)
        refuse(name, wanted());
    return number;
}

std::optional<std::vector<std::string>> Fields::texts(const char* name)
{
    const nlohmann::json* value = find(name);
    if (value == nullptr)
        return {};
    if (!value->is_array())
        refuse(name, "a list of texts");
    std::vector<std::string> all;
    for (const nlohmann::json& one : *value) {
        if (!one.is_string())
            refuse(name, "a list of texts");
        all.push_back(one.get<std::string>());
    }
    return all;
}

std::optional<std::string> Fields::object(const char* name)
{
    const nlohmann::json* value = find(name);
    if (value == nullptr)
        return {};
    if (!value->is_object())
        refuse(name, "an object");
    return value->dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

void Fields::finish() const
{
    for (const auto& [name, value] : json_.items())
        if (!known_.contains(name)) {
            std::string wanted;
            for (const std::string& word : known_)
                wanted += (wanted.empty() ? "" : ", ") + word;
            throw InputError(fmt::format("question: found a field {}, wanted some of {}",
                                         short_form(nlohmann::json(name)), wanted),
                             Fault::usage);
        }
}

} // namespace canebrake
