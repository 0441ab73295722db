// SPDX-License-Identifier: MIT
#include "engine/files/phrase/words.h"

#include "models/units/pitch.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <fmt/format.h>
#include <numeric>

namespace canebrake
{
namespace
{

constexpr std::array<std::string_view, 39> words{
    "rest",  "grow",    "fade", "stacc",   "ten",    "accent", "marcato", "detached", "breath", "grace",
    "trill", "mordent", "turn", "tremolo", "rock",   "gliss",  "slide",   "flutter",  "double", "by",
    "tempo", "meter",   "bar",  "hold",    "ppp",    "pp",     "p",       "mp",       "mf",     "f",
    "ff",    "fff",     "sfz",  "fp",      "niente", "half",   "whole",   "up",       "late"};

/// Letters to change, add or drop to make one word of the other; capitals do not count.
std::size_t letters_apart(std::string_view a, std::string_view b)
{
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t(0));
    for (std::size_t i = 0; i < a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i + 1;
        for (std::size_t j = 0; j < b.size(); ++j) {
            const bool same = std::tolower(static_cast<unsigned char>(a[i])) == b[j];
            const std::size_t changed = diagonal + (same ? 0 : 1);
            diagonal = row[j + 1];
            row[j + 1] = std::min({changed, row[j] + 1, row[j + 1] + 1});
        }
    }
    return row.back();
}

std::string_view nearest_word(std::string_view typed)
{
    std::string_view best;
    std::size_t best_apart = 3;
    if (typed.size() > 16)
        return best;
    for (const std::string_view word : words)
        if (const std::size_t apart = letters_apart(typed, word);
            apart < best_apart && 2 * apart <= std::max(word.size(), typed.size())) {
            best = word;
            best_apart = apart;
        }
    return best;
}

/// A whole number filling all of `text`, or empty.
std::optional<int> whole_number(std::string_view text)
{
    int value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (text.empty() || text[0] == '-' || error != std::errc() || end != text.data() + text.size())
        return {};
    return value;
}

/// What is typed, cut to a length that fits a line, without control characters.
std::string shown(std::string_view found)
{
    std::string text(found.substr(0, 40));
    while (text.size() < found.size() && !text.empty() &&
           (static_cast<unsigned char>(text.back()) & 0xC0) == 0x80)
        text.pop_back();
    for (char& c : text)
        if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F)
            c = '?';
    return text.size() < found.size() ? text + "…" : text;
}

} // namespace

std::vector<PhraseWord> split_phrase(std::string_view text)
{
    std::vector<PhraseWord> found;
    int character = 0;
    std::size_t begin = std::string_view::npos;
    int begin_character = 0;
    for (std::size_t i = 0; i <= text.size(); ++i) {
        const unsigned char c = i < text.size() ? static_cast<unsigned char>(text[i]) : ' ';
        character += (c & 0xC0) == 0x80 ? 0 : 1; // the later bytes of a UTF-8 character do not count
        const bool blank = c == ' ' || (c >= '\t' && c <= '\r');
        if (!blank && begin == std::string_view::npos) {
            begin = i;
            begin_character = character;
        } else if (blank && begin != std::string_view::npos) {
            found.push_back({text.substr(begin, i - begin), begin_character});
            begin = std::string_view::npos;
        }
    }
    return found;
}

void phrase_error(int character, std::string_view found, const std::string& wanted)
{
    throw InputError(
        fmt::format("phrase, character {}: found '{}', wanted {}", character, shown(found), wanted),
        Fault::usage);
}

void phrase_error(const PhraseWord& word)
{
    const std::string_view near = nearest_word(word.text);
    phrase_error(word.character, word.text,
                 "a pitch such as C5, a fraction such as 1/8, or a word (rest, grow, …)" +
                     (near.empty() ? "" : fmt::format("; perhaps '{}'", near)));
}

std::optional<TypedPitch> typed_pitch(std::string_view text)
{
    if (text.find('-') != std::string_view::npos)
        return {};
    const std::optional<int> number = pitch_number(text);
    if (!number || *number < 0 || *number > 127)
        return {};
    static constexpr std::array<int, 7> step_of_a_to_g{5, 6, 0, 1, 2, 3, 4};
    TypedPitch pitch{*number};
    pitch.step = step_of_a_to_g[std::size_t(std::toupper(static_cast<unsigned char>(text[0])) - 'A')];
    for (const char c : text.substr(1))
        pitch.alter += c == '#' ? 1 : c == 'b' ? -1 : 0;
    return pitch;
}

int letters_between(const TypedPitch& from, const TypedPitch& to)
{
    const auto letter = [](const TypedPitch& pitch) {
        return 7 * ((pitch.number - pitch.alter - natural_semitones[std::size_t(pitch.step)]) / 12) +
               pitch.step;
    };
    return letter(to) - letter(from);
}

std::optional<double> typed_length(std::string_view text)
{
    double quarters = 0.0;
    for (std::size_t at = 0; at <= text.size();) {
        const std::size_t end = std::min(text.find('+', at), text.size());
        const std::string_view part = text.substr(at, end - at);
        const std::size_t slash = part.find('/');
        if (slash == std::string_view::npos)
            return {};
        const auto top = whole_number(part.substr(0, slash)), bottom = whole_number(part.substr(slash + 1));
        if (!top || !bottom || *top < 1 || *bottom < 1 || *top > 128 || *bottom > 128)
            return {};
        quarters += 4.0 * *top / *bottom;
        if (quarters > 128.0)
            return {};
        at = end + 1;
    }
    return quarters;
}

std::optional<double> typed_number(std::string_view text)
{
    double value = 0.0;
    const auto [end, error] =
        std::from_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
    if (error != std::errc() || end != text.data() + text.size())
        return {};
    return value;
}

std::optional<TypedMeter> typed_meter(std::string_view text)
{
    const std::size_t slash = text.find('/');
    if (slash == std::string_view::npos)
        return {};
    const auto beats = whole_number(text.substr(0, slash)), type = whole_number(text.substr(slash + 1));
    if (!beats || !type || *beats < 1 || *beats > 64 || *type < 1 || *type > 64 || (*type & (*type - 1)) != 0)
        return {};
    return TypedMeter{*beats, *type};
}

std::optional<double> typed_dynamic(std::string_view text)
{
    static constexpr std::array<std::string_view, 8> ladder{"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"};
    if (text == "niente")
        return -1.0;
    const auto rung = std::find(ladder.begin(), ladder.end(), text);
    if (rung == ladder.end())
        return {};
    return double(rung - ladder.begin());
}

} // namespace canebrake
