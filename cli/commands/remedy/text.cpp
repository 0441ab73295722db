// SPDX-License-Identifier: MIT
#include "cli/commands/remedy/text.h"
#include "cli/terminal/columns.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

namespace canebrake
{
namespace
{

constexpr std::size_t margin = 5, deeper = 11;
constexpr std::size_t most_bars = 8, most_remarks = 4;

std::string paragraph(const std::string& text, std::size_t indent)
{
    return std::string(indent, ' ') + wrapped(text, indent, indent) + '\n';
}

std::string capital(std::string text)
{
    if (!text.empty())
        text[0] = char(std::toupper(static_cast<unsigned char>(text[0])));
    return text;
}

/// What was measured and matters to the cause.
std::string measured_words(Heard heard, Cause cause)
{
    if (cause != Cause::throat && cause != Cause::leap)
        heard.jump_db.reset();
    if (cause != Cause::throat)
        heard.tone_change.reset();
    return heard_in_words(heard);
}

std::string figures(const SpotReport& told, const Remedy& remedy)
{
    std::string text = fmt::format("{} → {}", word(remedy.before.grade), word(remedy.after.grade));
    if (remedy.left && *remedy.left != told.cause)
        text += fmt::format(" ({})", title(*remedy.left));
    const std::string before = measured_words(remedy.before.heard, told.cause),
                      after = measured_words(remedy.after.heard, told.cause);
    if (!before.empty() && !after.empty())
        text += fmt::format("; heard: {} → {}", before, after);
    if (remedy.before.pace && remedy.after.pace && remedy.after.grade != Grade::easy)
        text +=
            fmt::format("; {:.1f} → {:.1f}{}", remedy.before.pace->rate, remedy.after.pace->rate,
                        told.cause == Cause::breath || told.cause == Cause::endurance ? " s" : " a second");
    if (remedy.passage)
        text += fmt::format("; rough places in the passage: {} → {}", remedy.passage_before,
                            remedy.passage_after);
    if (!remedy.everywhere && !remedy.passage && !told.again.empty())
        text += "; at this place alone";
    return text;
}

std::string spot_text(const ToldRemedies& one)
{
    const SpotReport& told = one.told;
    const std::string start = fmt::format("{:>3}  {:<11}", told.number, word(told.grade));
    const std::string rest =
        fmt::format("{}; bar {}, beat {:.3g}", title(told.cause), told.at.bar, told.at.beat);
    std::string text = start + wrapped(rest, start.size(), start.size()) + '\n';
    text += paragraph(told.sentence + '.', margin);
    if (!told.again.empty()) {
        std::string bars;
        for (std::size_t i = 0; i < std::min(told.again.size(), most_bars); ++i)
            bars += (i == 0 ? "" : ", ") + told.again[i].bar;
        text +=
            paragraph(fmt::format("Again in bar{} {}{}; judged in bar {}.", told.again.size() == 1 ? "" : "s",
                                  bars, told.again.size() > most_bars ? " …" : "", told.at.bar),
                      margin);
    }
    for (std::size_t i = 0; i < one.found.remedies.size(); ++i) {
        const Remedy& remedy = one.found.remedies[i];
        const std::string number = fmt::format("{:>5}.{:<4} ", told.number, i + 1);
        text += number +
                wrapped(capital(remedy.idea.what) + ". Price: " + remedy.idea.price + '.', deeper, deeper) +
                '\n';
        text += paragraph(capital(figures(told, remedy)) + '.', deeper);
    }
    if (one.found.remedies.empty())
        text += paragraph(
            one.searched && one.found.judged_alone
                ? fmt::format("None of {} changes tried makes it easier without making another place "
                              "worse.",
                              one.found.tried)
            : one.searched ? std::string("It comes of the whole part, not of this place: nothing was tried.")
                           : std::string("A matter of who plays or how it is printed: nothing was tried."),
            margin);
    if (!told.kit.empty())
        text += paragraph("Kit: " + told.kit + '.', margin);
    return text;
}

} // namespace

std::string remedy_text(const RemedyReport& report, const RemedyRequest& request)
{
    std::string text =
        wrapped(fmt::format("{}{}: {} rough place{}.",
                            report.part_name.empty() ? "" : report.part_name + ", ", report.instrument,
                            report.spots == 0 ? "no" : std::to_string(report.spots),
                            report.spots == 1 ? "" : "s"),
                0, 0) +
        '\n';
    for (std::size_t i = 0; i < std::min(report.remarks.size(), most_remarks); ++i)
        text += wrapped("Remark: " + report.remarks[i] + '.', 0, 0) + '\n';
    for (const ToldRemedies& one : report.all)
        text += '\n' + spot_text(one);
    return request.utf8 ? text : plain_ascii(text);
}

} // namespace canebrake
