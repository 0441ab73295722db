// SPDX-License-Identifier: MIT
#include "cli/commands/compare/text.h"
#include "cli/commands/compare/words.h"
#include "cli/terminal/columns.h"
#include "engine/telling/names.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <span>

namespace canebrake
{
namespace
{

constexpr std::size_t most_side_by_side = 3; // dynamics
constexpr std::size_t width = 80;

std::string heading(const TonesReport& report)
{
    std::size_t asked = 0;
    for (const ToneNote& note : report.sides.front().map.notes)
        asked += !note.cells.empty();
    std::string dynamics;
    for (std::size_t i = 0; i < report.request.levels.size(); ++i)
        dynamics += (i > 0 ? ", " : "") + dynamic_name(report.request.levels[i]);
    std::string text = fmt::format("{} held note{} at {}", asked, asked == 1 ? "" : "s", dynamics);
    if (report.sides.size() > 1)
        text += fmt::format("; the same {} pitch on each side",
                            report.request.pitch == PitchBasis::sounding ? "sounding" : "written");
    return wrapped(text, 0, 0, width) + '\n';
}

std::string averages(const ToneSide& side)
{
    std::string text = "\nOn the mean           level  bright- speaks   odd   even beside odd   noise\n"
                       "                         dB  ness Hz     ms over e. low  mid high dB     dB\n";
    for (const NotesOfRegister& part : side.registers)
        for (std::size_t level = 0; level < side.map.levels.size(); ++level) {
            const ToneFigures f = mean_of(side.figures(part, level));
            const auto& even = f.even_over_neighbours_db;
            text += fmt::format("{:<11}{:<4}{:>3}{:>9}{:>9}{:>7}{:>7}{:>5}{:>5}{:>5}{:>10}\n",
                                level == 0 ? part.name : "", dynamic_name(side.map.levels[level]),
                                part.notes.size(), figure(f.level_db, 1), figure(f.centroid_hz),
                                figure(f.speaking_ms), figure(f.odd_over_even_db), figure(even[0]),
                                figure(even[1]), figure(even[2]), figure(f.noise_db));
        }
    return text;
}

bool has(const std::vector<Trait>& traits, Trait trait)
{
    return std::find(traits.begin(), traits.end(), trait) != traits.end();
}

/// The words of a note at some dynamics: those of all of them first, the others behind their dynamic.
std::string words_of_note(const ToneSide& side, std::size_t note, std::size_t first_level, std::size_t levels)
{
    const auto traits = std::span(side.traits[note]).subspan(first_level, levels);
    const auto always = [&](Trait trait) {
        return std::all_of(traits.begin(), traits.end(), [&](const auto& t) { return has(t, trait); });
    };
    std::string common, single;
    for (const Trait trait : traits.front())
        if (always(trait))
            common += (common.empty() ? "" : ", ") + std::string(word(trait));
    for (std::size_t level = 0; level < traits.size(); ++level) {
        std::string here;
        for (const Trait trait : traits[level])
            if (!always(trait))
                here += (here.empty() ? " " : ", ") + std::string(word(trait));
        if (!here.empty())
            single +=
                (single.empty() ? "" : "; ") + dynamic_name(side.map.levels[first_level + level]) + here;
    }
    return common + (common.empty() || single.empty() ? "" : "; ") + single;
}

std::string notes(const ToneSide& side, std::size_t first_level, std::size_t levels)
{
    std::string text = "\nNote by note ";
    std::string units = "written sounds";
    for (std::size_t i = first_level; i < first_level + levels; ++i) {
        units += "   dB   Hz   c";
        text += fmt::format("{:^14}", dynamic_name(side.map.levels[i]));
    }
    text = without_trailing_blanks(text) + '\n' + units + "  stands out\n";
    for (const NotesOfRegister& part : side.registers) {
        text += part.name + '\n';
        for (const std::size_t n : part.notes) {
            const ToneNote& note = side.map.notes[n];
            std::string row = fmt::format("  {:<6}{:<6}", pitch_name(note.written.number),
                                          pitch_name(int(std::lround(note.sounding.number))));
            for (std::size_t i = first_level; i < first_level + levels; ++i) {
                const ToneFigures f = figures_of(note.cells[i].heard);
                row +=
                    fmt::format("{:>5}{:>5}{:>4}", figure(f.level_db), figure(f.centroid_hz), cents(f.cents));
            }
            row += "  ";
            const std::size_t at = columns_of(row);
            text += without_trailing_blanks(
                        row + wrapped(words_of_note(side, n, first_level, levels), at, at, width)) +
                    '\n';
        }
    }
    return text;
}

std::string differences_text(const TonesReport& report)
{
    std::string text;
    std::size_t side = 0;
    std::string last;
    for (const RegisterDifference& d : differences(report)) {
        if (d.side != side) {
            side = d.side;
            last.clear();
            text += fmt::format("\n{} beside {}\n", report.sides[side].name, report.sides[0].name);
        }
        std::string row = fmt::format("{:<11}{:<4}{:>3}  ", d.name == last ? "" : d.name,
                                      dynamic_name(report.request.levels[d.level]), d.difference.notes);
        last = d.name;
        row += difference_figures(d.difference) + "  ";
        const std::size_t at = columns_of(row);
        text += row + wrapped(in_words(d.difference), at, at, width) + '\n';
    }
    return text;
}

} // namespace

std::string compare_text(const TonesReport& report)
{
    std::string text = heading(report);
    for (const ToneSide& side : report.sides) {
        text += fmt::format("\n{}, {} player\n", side.map.instrument->title, player_name(side.map.player));
        text += averages(side);
        const std::size_t all = side.map.levels.size();
        const std::size_t tables = (all + most_side_by_side - 1) / most_side_by_side; // of about one size
        for (std::size_t t = 0; t < tables; ++t)
            text += notes(side, all * t / tables, all * (t + 1) / tables - all * t / tables);
    }
    text += differences_text(report);
    return text + tone_legend(report.sides.size() > 1);
}

} // namespace canebrake
