// SPDX-License-Identifier: MIT
#include "cli/commands/compare/words.h"

#include "engine/comparison/traits.h"

#include <fmt/format.h>

#include <cmath>

namespace canebrake
{

std::string figure(const std::optional<double>& value, int decimals)
{
    if (!value || !std::isfinite(*value))
        return "–";
    const double scale = std::pow(10.0, decimals);
    return fmt::format("{:.{}f}", std::round(*value * scale) / scale + 0.0, decimals);
}

std::string cents(const std::optional<double>& value)
{
    if (!value || !std::isfinite(*value))
        return "–";
    const long rounded = std::lround(*value);
    return rounded == 0 ? "0" : fmt::format("{:+}", rounded);
}

std::string difference_figures(const ToneDifference& d)
{
    const std::string level = d.level_db ? fmt::format("{:+.1f}", *d.level_db) : "–";
    return fmt::format("{:>5} dB{:>6}×{:>5} c", level, figure(d.centroid_ratio, 2), cents(d.cents));
}

std::string in_words(const ToneDifference& d)
{
    if (!d.level_db)
        return "not to be compared";
    std::string text;
    for (const std::string& one : words_of(d))
        text += (text.empty() ? "" : ", ") + one;
    return text.empty() ? "alike" : text;
}

std::string without_trailing_blanks(std::string text)
{
    text.erase(text.find_last_not_of(' ') + 1);
    return text;
}

std::string tone_legend(bool differs)
{
    std::string text = "\n"
                       "level: RMS re full scale. brightness: the centroid of the harmonics. c: cents\n"
                       "off equal temperament, as played. speaks: until the note is there. odd over\n"
                       "even: harmonics 1, 3, 5 over 2, 4; the more, the hollower. even beside odd:\n"
                       "even harmonics over their neighbours, under 1.2 kHz, to 2, to 4. noise:\n"
                       "between the harmonics, under them.\n"
                       "dull, bright, weak, strong: beside the notes around at that dynamic. thin: not\n"
                       "soft, and hardly more than the fundamental. pulls: the instrument lies 20 cents\n"
                       "off or more, and the player takes most of it out. A player's own instrument,\n"
                       "reed and embouchure have the last word.\n";
    if (differs)
        text += "A difference is spoken of from 1 dB, 5 % of brightness, 3 cents; twice that\n"
                "without \"a shade\", six times as \"much\".\n";
    return text;
}

} // namespace canebrake
