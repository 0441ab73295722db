// SPDX-License-Identifier: MIT
#include "engine/files/writing/xml_insert.h"

#include "engine/files/musicxml/text.h"
#include "models/units/input_error.h"

#include <algorithm>
#include <cstdint>
#include <fmt/format.h>

namespace canebrake::musicxml
{

namespace
{

bool starts(std::string_view text, std::size_t at, std::string_view wanted)
{
    return text.substr(std::min(at, text.size())).starts_with(wanted);
}

void append_utf8(std::string& out, std::uint32_t c)
{
    if (c < 0x80) {
        out += char(c);
    } else if (c < 0x800) {
        out += char(0xC0 | (c >> 6));
        out += char(0x80 | (c & 0x3F));
    } else if (c < 0x10000) {
        out += char(0xE0 | (c >> 12));
        out += char(0x80 | ((c >> 6) & 0x3F));
        out += char(0x80 | (c & 0x3F));
    } else {
        out += char(0xF0 | (c >> 18));
        out += char(0x80 | ((c >> 12) & 0x3F));
        out += char(0x80 | ((c >> 6) & 0x3F));
        out += char(0x80 | (c & 0x3F));
    }
}

/// The character at `at`, which moves behind it; U+FFFD for bytes that are no UTF-8.
std::uint32_t next_character(std::string_view text, std::size_t& at)
{
    const auto first = std::uint8_t(text[at++]);
    if (first < 0x80)
        return first;
    const int more = first >= 0xF0 && first < 0xF5 ? 3 : first >= 0xE0 ? 2 : first >= 0xC2 ? 1 : 0;
    if (more == 0 || first >= 0xF5)
        return 0xFFFD;
    std::uint32_t c = first & (0x3F >> more);
    std::size_t behind = at;
    for (int i = 0; i < more; ++i, ++behind) {
        if (behind >= text.size() || (std::uint8_t(text[behind]) & 0xC0) != 0x80)
            return 0xFFFD;
        c = (c << 6) | (std::uint8_t(text[behind]) & 0x3F);
    }
    at = behind;
    const bool overlong = (more == 2 && c < 0x800) || (more == 3 && c < 0x10000);
    return overlong || (c >= 0xD800 && c < 0xE000) || c > 0x10FFFF ? 0xFFFD : c;
}

std::string declared_encoding(std::string_view bytes)
{
    if (!bytes.starts_with("<?xml"))
        return {};
    const std::string_view declaration = bytes.substr(0, bytes.find("?>"));
    const auto word = declaration.find("encoding");
    const auto open = word == std::string_view::npos ? word : declaration.find_first_of("'\"", word);
    if (open == std::string_view::npos)
        return {};
    const auto close = declaration.find(declaration[open], open + 1);
    return close == std::string_view::npos ? "" : lower_case(declaration.substr(open + 1, close - open - 1));
}

} // namespace

Encoding Encoding::of(std::string_view bytes)
{
    Encoding encoding;
    const auto begins = [&](std::string_view mark) { return bytes.starts_with(mark); };
    if (begins("\xFE\xFF") || begins(std::string_view("\0<", 2))) {
        encoding.form_ = utf_16_big;
    } else if (begins("\xFF\xFE") || begins(std::string_view("<\0", 2))) {
        encoding.form_ = utf_16_little;
    } else if (const std::string declared = declared_encoding(bytes);
               declared == "iso-8859-1" || declared == "latin1") {
        encoding.form_ = latin_1;
        encoding.holds_all_ = false;
    } else {
        encoding.holds_all_ = declared.empty() || declared == "utf-8" || declared == "utf8";
    }
    return encoding;
}

std::string Encoding::to_utf8(std::string_view bytes) const
{
    if (form_ == as_it_is)
        return std::string(bytes);
    std::string text;
    text.reserve(bytes.size());
    if (form_ == latin_1) {
        for (const char c : bytes)
            append_utf8(text, std::uint8_t(c));
        return text;
    }
    const auto unit = [&](std::size_t i) {
        const auto a = std::uint8_t(bytes[i]), b = std::uint8_t(bytes[i + 1]);
        return std::uint32_t(form_ == utf_16_big ? (a << 8) | b : (b << 8) | a);
    };
    for (std::size_t i = 0; i + 1 < bytes.size(); i += 2) {
        std::uint32_t c = unit(i);
        if (c >= 0xD800 && c < 0xDC00 && i + 3 < bytes.size() && (unit(i + 2) & 0xFC00) == 0xDC00) {
            i += 2;
            c = 0x10000 + ((c - 0xD800) << 10) + (unit(i) - 0xDC00);
        }
        append_utf8(text, c);
    }
    return text;
}

std::string Encoding::from_utf8(std::string_view text) const
{
    if (form_ == as_it_is)
        return std::string(text);
    std::string bytes;
    const auto put = [&](std::uint32_t unit) {
        const char high = char(unit >> 8), low = char(unit & 0xFF);
        bytes += form_ == utf_16_big ? high : low;
        bytes += form_ == utf_16_big ? low : high;
    };
    for (std::size_t at = 0; at < text.size();) {
        const std::uint32_t c = next_character(text, at);
        if (form_ == latin_1) {
            bytes += char(c);
        } else if (c >= 0x10000) {
            put(0xD800 + ((c - 0x10000) >> 10));
            put(0xDC00 + ((c - 0x10000) & 0x3FF));
        } else {
            put(c);
        }
    }
    return bytes;
}

Extent extent_of(const std::string& text, const pugi::xml_node& node, const std::string& name)
{
    const auto refuse = [&]() -> Extent {
        throw InputError(name + ": found an element <" + std::string(node.name()) +
                         "> whose place in the file is not clear, wanted well-formed MusicXML");
    };
    const std::ptrdiff_t offset = node.offset_debug();
    if (offset < 1 || !starts(text, std::size_t(offset), node.name()) || text[std::size_t(offset) - 1] != '<')
        return refuse();
    Extent extent{std::size_t(offset) - 1};
    int depth = 0;
    for (std::size_t at = extent.start; at != std::string::npos && at < text.size();
         at = text.find('<', at)) {
        std::size_t end = std::string::npos;
        const auto skip = [&](std::string_view close) {
            end = text.find(close, at);
            return end == std::string::npos ? end : end + close.size();
        };
        if (starts(text, at, "<!--")) {
            at = skip("-->");
        } else if (starts(text, at, "<![CDATA[")) {
            at = skip("]]>");
        } else if (starts(text, at, "<?")) {
            at = skip("?>");
        } else {
            std::size_t close = at;
            for (char quote = '\0'; close < text.size() && (quote || text[close] != '>'); ++close)
                if (quote ? text[close] == quote : text[close] == '"' || text[close] == '\'')
                    quote = quote ? '\0' : text[close];
            if (close >= text.size())
                break;
            const bool closes = text[at + 1] == '/', alone = !closes && text[close - 1] == '/';
            depth += closes ? -1 : alone ? 0 : 1;
            if (depth == 0) {
                extent.end_tag = at;
                extent.end = close + 1;
                extent.empty_tag = alone;
                return extent;
            }
            at = close + 1;
        }
        if (at == std::string::npos)
            break;
    }
    return refuse();
}

Insertions::Insertions(const std::string& text) : text_(text)
{
    if (const auto first = text.find('\n');
        first != std::string::npos && first > 0 && text[first - 1] == '\r')
        line_end_ = "\r\n";
    // One step of indentation is what <part-list> has, a child of the root.
    if (const auto list = text.find("<part-list"); list != std::string::npos) {
        const auto begin = text.find_last_not_of(" \t", list == 0 ? 0 : list - 1);
        if (begin != std::string::npos && text[begin] == '\n' && begin + 1 < list)
            step_ = text.substr(begin + 1, list - begin - 1);
        else if (begin != std::string::npos && text[begin] == '\n')
            step_.clear();
    }
}

void Insertions::before(std::size_t place, const std::vector<std::string>& lines, int deeper)
{
    const auto begin = place == 0 ? std::string::npos : text_.find_last_not_of(" \t", place - 1);
    const bool own_line = begin != std::string::npos && text_[begin] == '\n';
    const std::size_t where = own_line ? begin + 1 : place;
    std::string indent = own_line ? text_.substr(where, place - where) : "", more;
    for (int i = 0; i < deeper; ++i)
        indent += step_;
    for (const std::string& line : lines) {
        if (!own_line) {
            more += std::string_view(line).substr(std::min(line.find_first_not_of(' '), line.size()));
            continue;
        }
        std::size_t steps = line.find_first_not_of(' ');
        more += indent;
        for (std::size_t i = 0; i < steps; ++i)
            more += step_;
        more += line.substr(steps) + line_end_;
    }
    pieces_.push_back({where, where, std::move(more)});
}

void Insertions::replace(const Extent& extent, std::string text)
{
    pieces_.push_back({extent.start, extent.end, std::move(text)});
}

std::string Insertions::apply() const
{
    auto pieces = pieces_;
    std::stable_sort(pieces.begin(), pieces.end(),
                     [](const Piece& a, const Piece& b) { return a.place < b.place; });
    std::string result;
    std::size_t at = 0;
    for (const auto& [place, end, more] : pieces) {
        result.append(text_, at, place - at);
        result += more;
        at = end;
    }
    return result.append(text_, at);
}

std::string ascii_only(std::string_view text)
{
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t begin = at;
        const std::uint32_t c = next_character(text, at);
        out += c >= 0x7F ? fmt::format("&#x{:X};", c) : std::string(text.substr(begin, at - begin));
    }
    return out;
}

std::string printable(std::string_view text)
{
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t begin = at;
        const std::uint32_t c = next_character(text, at);
        if (c == '\t' || c == '\n' || c == '\r')
            out += ' ';
        else if (c >= 0x20 && c != 0xFFFD && c != 0xFFFE && c != 0xFFFF)
            out += text.substr(begin, at - begin);
    }
    return trimmed(out);
}

std::string Insertions::escaped(std::string_view given, bool only_ascii)
{
    const std::string text = printable(given);
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t begin = at;
        const std::uint32_t c = next_character(text, at);
        if (c == '&')
            out += "&amp;";
        else if (c == '<')
            out += "&lt;";
        else if (c == '>')
            out += "&gt;";
        else if (c >= 0x7F && only_ascii)
            out += fmt::format("&#x{:X};", c);
        else
            out += text.substr(begin, at - begin);
    }
    return out;
}

} // namespace canebrake::musicxml
