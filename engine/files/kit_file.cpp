// SPDX-License-Identifier: MIT
#include "engine/files/kit_file.h"

#include "models/instruments/family.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <toml++/toml.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <functional>
#include <optional>
#include <utility>

namespace canebrake
{
namespace
{

constexpr std::size_t largest_kit = 64 * 1024;
constexpr std::size_t longest_quote = 40;

/// `a, b or c`; each in `quote`s.
std::string any_of(const std::vector<std::string>& words, std::string_view quote = "")
{
    std::string list;
    for (std::size_t i = 0; i < words.size(); ++i)
        list += fmt::format("{}{}{}{}",
                            i == 0                  ? ""
                            : i + 1 == words.size() ? " or "
                                                    : ", ",
                            quote, words[i], quote);
    return list;
}

/// Fit for one line of a message.
std::string in_quotes(std::string_view text)
{
    std::size_t length = std::min(text.size(), longest_quote);
    while (length > 0 && length < text.size() && (text[length] & 0xc0) == 0x80)
        --length; // not within a letter
    std::string quote(text.substr(0, length));
    std::replace_if(
        quote.begin(), quote.end(), [](unsigned char c) { return c < 0x20 || c == 0x7f; }, '?');
    return "'" + quote + (length < text.size() ? "..." : "") + "'";
}

/// A value as it stands in the file, or what kind of thing it is.
std::string found(const toml::node& value)
{
    if (const auto text = value.value_exact<std::string>())
        return in_quotes(*text);
    if (const auto yes = value.value_exact<bool>())
        return *yes ? "true" : "false";
    if (value.is_number())
        return "a number";
    if (value.is_array())
        return "a list";
    return value.is_table() ? "a table" : "a date or time";
}

class KitReader
{
public:
    explicit KitReader(std::string name) : name_(std::move(name)) {}

    [[noreturn]] void refuse(const toml::source_region& where, const std::string& what,
                             const std::string& wanted) const
    {
        throw InputError(fmt::format("{}:{}: found {}, wanted {}", name_, where.begin.line, what, wanted));
    }

    Kit read(const toml::table& table) const
    {
        Kit kit;
        for (const auto& [key, value] : table) {
            const auto entry =
                std::find_if(entries().begin(), entries().end(),
                             [&, &name = key](const Entry& known) { return known.key == name.str(); });
            if (entry == entries().end())
                refuse(key.source(), in_quotes(key.str()), any_of(kit_keys()));
            entry->read(*this, value, kit);
        }
        return kit;
    }

    struct Entry {
        std::string_view key;
        std::function<void(const KitReader&, const toml::node&, Kit&)> read;
    };

    static const std::vector<Entry>& entries()
    {
        static const std::vector<Entry> all{
            {"level",
             [](const KitReader& reader, const toml::node& value, Kit& kit) {
                 kit.level = reader.one_of<Player>(
                     "level", value,
                     {{{"ideal", Player::ideal}, {"studio", Player::studio}, {"learner", Player::learner}}});
             }},
            {"reading",
             [](const KitReader& reader, const toml::node& value, Kit& kit) {
                 kit.reading = reader.one_of<Reading>("reading", value,
                                                      {{{"sight", Reading::sight},
                                                        {"rehearsed", Reading::rehearsed},
                                                        {"prepared", Reading::prepared}}});
             }},
            has("left-a-flat-lever", &Kit::left_a_flat_lever),
            has("articulated-c-sharp", &Kit::articulated_c_sharp),
            has("low-e-flat", &Kit::low_e_flat),
            has("low-c-bass", &Kit::low_c_bass),
            has("double-tongue", &Kit::double_tongue),
            has("circular-breathing", &Kit::circular_breathing),
            {"instruments", [](const KitReader& reader, const toml::node& value,
                               Kit& kit) { kit.instruments = reader.instruments(value); }},
        };
        return all;
    }

private:
    static Entry has(std::string_view key, bool Kit::*member)
    {
        return {key, [key, member](const KitReader& reader, const toml::node& value, Kit& kit) {
                    const auto yes = value.value_exact<bool>();
                    if (!yes)
                        reader.refuse(value.source(), fmt::format("{} = {}", key, found(value)),
                                      "true or false");
                    kit.*member = *yes;
                }};
    }

    template <class Value>
    Value one_of(std::string_view key, const toml::node& value,
                 const std::array<std::pair<std::string_view, Value>, 3>& choices) const
    {
        const auto text = value.value_exact<std::string>();
        std::vector<std::string> words;
        for (const auto& [word, meaning] : choices) {
            if (text && *text == word)
                return meaning;
            words.emplace_back(word);
        }
        refuse(value.source(), fmt::format("{} = {}", key, found(value)), any_of(words, "\""));
    }

    std::vector<std::string> instruments(const toml::node& value) const
    {
        static const std::vector<std::string> names = [] {
            std::vector<std::string> all;
            for (const FamilyMember& member : family())
                all.push_back(member.name);
            return all;
        }();
        const auto* list = value.as_array();
        if (list == nullptr || list->empty())
            refuse(value.source(), "instruments = " + (list ? "an empty list" : found(value)),
                   "a list of them, such as [\"B-flat\", \"A\"]");
        std::vector<std::string> owned;
        for (const toml::node& each : *list) {
            const auto name = each.value_exact<std::string>();
            if (!name || std::find(names.begin(), names.end(), *name) == names.end())
                refuse(each.source(), found(each) + " among the instruments", any_of(names, "\""));
            if (std::find(owned.begin(), owned.end(), *name) == owned.end())
                owned.push_back(*name);
        }
        return owned;
    }

    std::string name_;
};

} // namespace

Kit read_kit(const std::filesystem::path& path)
{
    const std::string name = path.string();
    std::error_code error;
    const auto status = std::filesystem::status(path, error);
    if (status.type() == std::filesystem::file_type::not_found)
        throw InputError(name + ": found no such file, wanted a player's kit");
    if (std::filesystem::is_directory(status))
        throw InputError(name + ": found a directory, wanted a player's kit");
    std::ifstream in(path, std::ios::binary);
    if (!in)
        throw InputError(name + ": cannot be opened for reading");
    std::string bytes(largest_kit + 1, '\0');
    in.read(bytes.data(), std::streamsize(bytes.size()));
    if (in.bad())
        throw InputError(name + ": cannot be read");
    bytes.resize(std::size_t(in.gcount()));
    return read_kit(bytes, name);
}

Kit read_kit(std::string_view bytes, const std::string& name)
{
    if (bytes.size() > largest_kit)
        throw InputError(
            fmt::format("{}: found more than {} KB, wanted a player's kit", name, largest_kit / 1024));
    const KitReader reader(name);
    try {
        return reader.read(toml::parse(bytes, name));
    } catch (const toml::parse_error& error) {
        std::string what(error.description());
        std::replace(what.begin(), what.end(), '\n', ' ');
        throw InputError(
            fmt::format("{}:{}: found no TOML ({}), wanted lines such as level = \"studio\" with the "
                        "keys {}",
                        name, error.source().begin.line, what, any_of(kit_keys())));
    }
}

std::vector<std::string> kit_keys()
{
    std::vector<std::string> keys;
    for (const auto& entry : KitReader::entries())
        keys.emplace_back(entry.key);
    return keys;
}

} // namespace canebrake
