// SPDX-License-Identifier: MIT
#include "cli/commands/compare/text.h"
#include "cli/commands/compare/words.h"
#include "cli/terminal/columns.h"
#include "engine/telling/names.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

constexpr std::size_t width = 80, sides_side_by_side = 3, most_rows = 60, most_remarks = 10;

std::string heading(const LinesReport& report)
{
    const bool recordings = report.request.kind == ComparisonRequest::Kind::recordings;
    const std::string what = recordings              ? "recordings of one line"
                             : report.request.phrase ? "typed phrase"
                                                     : report.request.line.string();
    std::string text = what + '\n';
    for (std::size_t s = 0; s < report.sides.size(); ++s) {
        const LineSide& side = report.sides[s];
        const auto notes = std::size_t(std::count_if(side.notes.begin(), side.notes.end(),
                                                     [](const ComparedNote& n) { return !n.silent; }));
        text += fmt::format("  {}  {}: {:.1f} s, {} note{}\n", s + 1,
                            side.instrument != nullptr
                                ? side.instrument->title + ", " + player_name(*side.player) + " player"
                                : side.file,
                            side.duration_s, notes, notes == 1 ? "" : "s");
    }
    return text;
}

std::string summary(const LinesReport& report)
{
    if (report.sides.size() < 2)
        return "";
    std::string text = "\nAs a whole, beside 1\n";
    for (std::size_t s = 1; s < report.sides.size(); ++s) {
        const ToneDifference d = report.whole_difference(s);
        std::string row = fmt::format("  {}  {}  ", s + 1, difference_figures(d));
        const std::size_t at = columns_of(row);
        text += row + wrapped(in_words(d), at, at, width) + '\n';
    }
    return text;
}

double of(const std::optional<double>& value, double otherwise = 0.0)
{
    return value.value_or(otherwise);
}

/// How much a row differs beyond what all of them do, for which rows are told when there are many.
double size_of(const LinesReport& report, std::size_t row, std::span<const ToneDifference> whole)
{
    double size = 0.0;
    for (std::size_t s = 1; s < report.sides.size(); ++s) {
        const auto &first = report.rows[row][0], &other = report.rows[row][s];
        if (!first || !other) {
            size += 10.0;
            continue;
        }
        const ToneDifference d = report.difference(row, s);
        if (d.notes == 0) { // off the instrument, or not in its register
            size += 5.0;
            continue;
        }
        size +=
            std::abs(of(d.level_db) - of(whole[s].level_db)) / 2.0 +
            std::abs(of(d.cents) - of(whole[s].cents)) / 5.0 +
            std::abs(std::log(of(d.centroid_ratio, 1.0) / of(whole[s].centroid_ratio, 1.0))) / std::log(1.1);
    }
    return size;
}

std::vector<std::size_t> rows_told(const LinesReport& report)
{
    std::vector<std::size_t> rows(report.rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i)
        rows[i] = i;
    if (rows.size() <= most_rows)
        return rows;
    std::vector<double> size;
    std::vector<ToneDifference> whole;
    for (std::size_t s = 0; s < report.sides.size(); ++s)
        whole.push_back(report.whole_difference(s));
    for (const std::size_t row : rows)
        size.push_back(size_of(report, row, whole));
    std::stable_sort(rows.begin(), rows.end(),
                     [&](std::size_t a, std::size_t b) { return size[a] > size[b]; });
    rows.resize(most_rows);
    std::sort(rows.begin(), rows.end());
    return rows;
}

/// What a row has to say: of each side its own words, and of the others what differs from the first by more
/// than a shade.
std::string words_of_row(const LinesReport& report, std::size_t row, std::span<const std::size_t> sides)
{
    std::string text;
    for (const std::size_t s : sides) {
        const auto& at = report.rows[row][s];
        std::string said;
        const bool beside_first = s > 0 && at && report.rows[row][0];
        if (at)
            for (const Trait trait : report.sides[s].notes[*at].traits)
                if (!beside_first || (trait != Trait::sharp && trait != Trait::flat)) // it says "sharper"
                    said += (said.empty() ? "" : ", ") + std::string(word(trait));
        if (at && report.sides[s].notes[*at].silent)
            said = "off the instrument";
        if (beside_first)
            for (const std::string& one : words_of(report.difference(row, s), 1.0))
                said += (said.empty() ? "" : ", ") + one;
        if (!said.empty())
            text += (text.empty() ? "" : "; ") + fmt::format("{}: {}", s + 1, said);
    }
    return text;
}

std::string table(const LinesReport& report, std::span<const std::size_t> sides,
                  std::span<const std::size_t> rows)
{
    const bool bars = report.sides[0].instrument != nullptr;
    std::string text, units = bars ? " bar beat sounds" : "  at s  sounds ";
    text = std::string(units.size(), ' ');
    for (const std::size_t s : sides) {
        text += fmt::format("{:^14}", s + 1);
        units += "   dB   Hz   c";
    }
    text = without_trailing_blanks(text) + '\n' + units + '\n';
    for (const std::size_t row : rows) {
        const ComparedNote* named = nullptr;
        std::string figures;
        for (const std::size_t s : sides) {
            const auto& at = report.rows[row][s];
            const ComparedNote* note = at ? &report.sides[s].notes[*at] : nullptr;
            named = named == nullptr ? note : named;
            const ToneFigures f = note != nullptr && !note->silent ? note->figures() : ToneFigures{};
            figures +=
                fmt::format("{:>5}{:>5}{:>4}", figure(f.level_db), figure(f.centroid_hz), cents(f.cents));
        }
        if (named == nullptr)
            continue;
        std::string line = bars ? fmt::format("{:>4} {:<4.4} {:<6}", named->bar,
                                              fmt::format("{:g}", named->beat), named->sounding_name)
                                : fmt::format("{:>6.2f}  {:<7}", named->start_s, named->sounding_name);
        line += figures + "  ";
        const std::size_t at = columns_of(line);
        text +=
            without_trailing_blanks(line + wrapped(words_of_row(report, row, sides), at, at, width)) + '\n';
    }
    return text;
}

std::string remarks(const LinesReport& report)
{
    std::vector<std::string> all = report.remarks;
    for (std::size_t s = 0; s < report.sides.size(); ++s)
        for (const std::string& remark : report.sides[s].remarks)
            all.push_back(fmt::format("{}: {}", s + 1, remark));
    std::string text;
    for (std::size_t i = 0; i < std::min(all.size(), most_remarks); ++i)
        text += "  " + wrapped(all[i], 4, 2, width) + '\n';
    if (all.size() > most_remarks)
        text += fmt::format("  and {} more\n", all.size() - most_remarks);
    return text;
}

} // namespace

std::string compare_text(const LinesReport& report)
{
    std::string text = heading(report) + remarks(report) + summary(report);
    const std::vector<std::size_t> rows = rows_told(report);
    text += rows.size() < report.rows.size()
                ? fmt::format("\nThe {} notes of {} that differ most; -o FILE.csv has all\n", rows.size(),
                              report.rows.size())
                : "\nNote by note\n";
    // The first stands beside the others in each table.
    for (std::size_t from = 1; from == 1 || from < report.sides.size(); from += sides_side_by_side - 1) {
        std::vector<std::size_t> sides{0};
        for (std::size_t s = from; s < std::min(report.sides.size(), from + sides_side_by_side - 1); ++s)
            sides.push_back(s);
        text += (from > 1 ? "\n" : "") + table(report, sides, rows);
    }
    return text + tone_legend(report.sides.size() > 1);
}

} // namespace canebrake
