// SPDX-License-Identifier: MIT
#include "cli/page/compare_page.h"

#include "cli/page/page_pieces.h"

#include <array>
#include <cmath>
#include <functional>
#include <string_view>
#include <utility>

namespace canebrake
{
namespace
{
using Json = nlohmann::ordered_json;

std::string base64(std::string_view bytes) // RFC 4648
{
    constexpr std::string_view digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string text;
    text.reserve((bytes.size() + 2) / 3 * 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        const std::string_view three = bytes.substr(i, 3);
        unsigned bits = 0;
        for (std::size_t k = 0; k < 3; ++k)
            bits = bits << 8 | (k < three.size() ? static_cast<unsigned char>(three[k]) : 0U);
        for (std::size_t k = 0; k < 4; ++k)
            text += k <= three.size() ? digits[bits >> (18 - 6 * k) & 63] : '=';
    }
    return text;
}

std::string bytes_of_hex(std::string_view hex)
{
    const auto value = [](char c) { return c <= '9' ? c - '0' : c - 'a' + 10; };
    std::string bytes;
    for (std::size_t i = 0; i + 1 < hex.size(); i += 2)
        bytes += char(value(hex[i]) << 4 | value(hex[i + 1]));
    return bytes;
}

/// JSON inside a script element: no `<` can end it or open a comment (HTML Standard, "Restrictions for
/// contents of script elements"), and the other two are for those who copy it elsewhere.
std::string json_in_script(const Json& value)
{
    const std::string plain = value.dump(-1, ' ', false, Json::error_handler_t::replace);
    std::string safe;
    safe.reserve(plain.size());
    for (const char c : plain)
        if (c == '<')
            safe += "\\u003c";
        else if (c == '>')
            safe += "\\u003e";
        else if (c == '&')
            safe += "\\u0026";
        else
            safe += c;
    return safe;
}

/// As fine as anything on the page: a long line has hundreds of thousands of numbers.
Json rounded(Json value)
{
    constexpr double steps_a_unit = 1e4;
    if (value.is_number_float()) {
        const double number = std::nearbyint(value.get<double>() * steps_a_unit) / steps_a_unit;
        return std::isfinite(number) ? Json(number) : Json();
    }
    if (value.is_structured())
        for (Json& part : value)
            part = rounded(std::move(part));
    return value;
}

std::string escaped(std::string_view text)
{
    std::string safe;
    for (const char c : text)
        switch (c) {
        case '&':
            safe += "&amp;";
            break;
        case '<':
            safe += "&lt;";
            break;
        case '>':
            safe += "&gt;";
            break;
        case '"':
            safe += "&quot;";
            break;
        default: // control characters have no place in a title
            safe += static_cast<unsigned char>(c) < 0x20 || c == 0x7F ? ' ' : c;
        }
    return safe;
}

/// Mended as JSON is: what is no UTF-8 becomes U+FFFD.
std::string as_utf8(const std::string& text)
{
    return Json::parse(Json(text).dump(-1, ' ', false, Json::error_handler_t::replace)).get<std::string>();
}

std::string title(const Json& comparison)
{
    std::string names;
    if (const auto sides = comparison.find("sides"); sides != comparison.end())
        for (const Json& side : *sides)
            if (const auto name = side.find("name"); name != side.end() && name->is_string())
                names += (names.empty() ? "" : ", ") + as_utf8(name->get<std::string>());
    return escaped(names.empty() ? "Comparison" : "Comparison: " + names);
}

std::string policy()
{
    const auto hash = [](const PagePiece& piece) {
        return " 'sha256-" + base64(bytes_of_hex(piece.sha256)) + "'";
    };
    return "default-src 'none'; script-src" + hash(page_plot_script) + hash(page_script) + "; style-src" +
           hash(page_style) + "; base-uri 'none'; form-action 'none'";
}

std::string sound_blocks(std::span<const PageSound> sounds)
{
    std::string blocks;
    for (std::size_t side = 0; side < sounds.size(); ++side)
        blocks += "<script type=\"application/octet-stream;base64\" id=\"sound-" + std::to_string(side) +
                  "\" data-media-type=\"" + escaped(sounds[side].media_type) + "\">" +
                  base64(sounds[side].bytes) + "</script>\n";
    return blocks;
}
} // namespace

std::string compare_page(const Json& comparison, std::span<const PageSound> sounds)
{
    const std::array<std::pair<std::string_view, std::function<std::string()>>, 7> places{{
        {"{{policy}}", policy},
        {"{{title}}", [&] { return title(comparison); }},
        {"{{style}}", [] { return std::string(page_style.text); }},
        {"{{comparison}}", [&] { return json_in_script(rounded(comparison)); }},
        {"{{sounds}}", [&] { return sound_blocks(sounds); }},
        {"{{plot_script}}", [] { return std::string(page_plot_script.text); }},
        {"{{script}}", [] { return std::string(page_script.text); }},
    }};
    // The places stand in this order in the template; what has been filled in is not looked at again.
    std::string page;
    std::string_view rest = page_template;
    for (const auto& [place, text] : places) {
        const auto at = rest.find(place);
        page.append(rest.substr(0, at)).append(text());
        rest.remove_prefix(at + place.size());
    }
    return page.append(rest);
}

} // namespace canebrake
