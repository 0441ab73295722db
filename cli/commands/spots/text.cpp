// SPDX-License-Identifier: MIT
#include "cli/commands/spots/text.h"
#include "cli/terminal/columns.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

constexpr std::size_t margin = 5, width = 80;
constexpr std::size_t most_remarks = 6, most_worst = 3, most_places = 8;

std::string plural(std::size_t count, const char* what)
{
    return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

std::string place_words(const SpotPlace& place)
{
    return fmt::format("bar {}{}, beat {:.3g}", place.bar,
                       place.rehearsal.empty() ? "" : " (after " + place.rehearsal + ")", place.beat);
}

std::string note_words(const SpotReport& spot)
{
    const auto joined = [&](bool sounding) {
        std::string text;
        for (std::size_t i = 0; i < spot.notes.size(); ++i)
            text += (i == 0            ? ""
                     : spot.more_notes ? " … "
                                       : " ") +
                    (sounding ? spot.notes[i].second : spot.notes[i].first);
        return text;
    };
    return spot.notes.empty() ? "" : fmt::format("{} (sounding {})", joined(false), joined(true));
}

std::string line_of_words(const std::string& text)
{
    return std::string(margin, ' ') + wrapped(text, margin, margin) + '\n';
}

/// "3 times in all, in bars 46 and 47.": each bar once.
std::string times_words(const SpotReport& spot)
{
    std::vector<SpotPlace> places{spot.at};
    places.insert(places.end(), spot.again.begin(), spot.again.end());
    std::stable_sort(places.begin(), places.end(),
                     [](const SpotPlace& a, const SpotPlace& b) { return a.bar_index < b.bar_index; });
    std::vector<std::string> bars;
    for (const SpotPlace& place : places)
        if (std::find(bars.begin(), bars.end(), place.bar) == bars.end())
            bars.push_back(place.bar);
    std::string text = fmt::format("{} in all, in bar{} ",
                                   spot.again.size() == 1 ? "Twice" : plural(spot.again.size() + 1, "time"),
                                   bars.size() == 1 ? "" : "s");
    const std::size_t shown = std::min(bars.size(), most_places);
    for (std::size_t i = 0; i < shown; ++i)
        text += (i == 0 ? "" : i + 1 == bars.size() ? " and " : ", ") + bars[i];
    return text + (shown < bars.size() ? " …" : ".");
}

std::string spot_text(const SpotReport& spot)
{
    std::string head = fmt::format("{:>3}{} {:<11}{}", spot.number, spot.fresh ? "*" : " ", word(spot.grade),
                                   title(spot.cause));
    if (!spot.assumed.empty())
        head += ", if " + spot.assumed;
    head += "; " + place_words(spot.at);
    // The columns of the head are kept as they are.
    const std::string start =
        fmt::format("{:>3}{} {:<11}", spot.number, spot.fresh ? "*" : " ", word(spot.grade));
    const std::string rest = head.substr(start.size());
    std::string text = start + wrapped(rest, start.size(), start.size()) + '\n';
    if (const std::string notes = note_words(spot); !notes.empty())
        text += line_of_words(notes);
    text += line_of_words(spot.sentence + '.');
    if (const std::string heard = heard_in_words(spot.heard); !heard.empty()) {
        const std::string ideal = spot.ideal ? heard_in_words(*spot.ideal) : "";
        text +=
            line_of_words("Heard: " + heard + (ideal.empty() ? "" : "; the ideal player: " + ideal) + '.');
    }
    if (spot.safe_tempo)
        text += line_of_words(fmt::format("Easy up to ♩ = {:.0f}; marked {:.0f}.",
                                          std::floor(*spot.safe_tempo), *spot.marked_tempo));
    if (!spot.kit.empty())
        text += line_of_words("Kit: " + spot.kit + '.');
    if (!spot.exposure.empty())
        text += line_of_words("In the score: " + spot.exposure + '.');
    if (!spot.again.empty())
        text += line_of_words(times_words(spot));
    return text;
}

/// The worst first: grade, then who is listening, then how often.
std::vector<const SpotReport*> worst_first(const PartReport& part)
{
    std::vector<const SpotReport*> spots;
    for (const SpotReport& spot : part.spots)
        spots.push_back(&spot);
    std::stable_sort(spots.begin(), spots.end(), [](const SpotReport* a, const SpotReport* b) {
        if (a->grade != b->grade)
            return a->grade > b->grade;
        return a->weight * double(a->again.size() + 1) > b->weight * double(b->again.size() + 1);
    });
    return spots;
}

/// What nobody can play as written. Where the file does not say how it is tongued, it may be meant otherwise.
std::string only_if(const PartReport& part)
{
    std::string how;
    for (const SpotReport& spot : part.spots) {
        if (spot.grade != Grade::unplayable)
            continue;
        if (spot.assumed.empty() || (!how.empty() && how != spot.assumed))
            return "Not playable as written";
        how = spot.assumed;
    }
    return "Not playable if " + how;
}

std::string summary(const PartReport& part, const SpotsRequest& request)
{
    const char* reading = request.settings.kit.reading == Reading::prepared    ? "prepared"
                          : request.settings.kit.reading == Reading::rehearsed ? "rehearsed"
                                                                               : "at sight";
    const char* who = request.settings.player == Player::learner ? "learner"
                      : request.settings.player == Player::ideal ? "ideal"
                                                                 : "studio";
    std::string text =
        wrapped(fmt::format("{}{}; {} player, {}", part.part_name.empty() ? "" : part.part_name + ": ",
                            part.instrument, who, reading),
                0, 0) +
        '\n';
    const std::size_t unplayable = part.count(Grade::unplayable), risky = part.count(Grade::risky),
                      awkward = part.count(Grade::awkward);
    std::string verdict = "Playable";
    if (unplayable > 0)
        verdict = fmt::format("{}: {} unplayable", only_if(part), plural(unplayable, "place"));
    if (risky + awkward == 0)
        verdict += unplayable > 0 ? "" : ", and nothing stands in the way";
    else
        verdict += fmt::format("{} {} risky and {} awkward place{}", unplayable > 0 ? ";" : ", with", risky,
                               awkward, awkward == 1 ? "" : "s");
    verdict += fmt::format(". {} of {} with notes {} easy.", part.easy_bars, plural(part.bars, "bar"),
                           part.easy_bars == 1 ? "is" : "are");
    text += wrapped(verdict, 0, 0) + '\n';
    const auto worst = worst_first(part);
    if (!worst.empty()) {
        std::vector<std::string> places;
        for (std::size_t i = 0; i < worst.size() && places.size() < most_worst; ++i) {
            const std::string place = fmt::format("{} in bar {}", title(worst[i]->cause), worst[i]->at.bar);
            if (std::find(places.begin(), places.end(), place) == places.end())
                places.push_back(place);
        }
        std::string list;
        for (const std::string& place : places)
            list += (list.empty() ? "Worst: " : ", ") + place;
        text += wrapped(list + ".", 0, 0) + '\n';
    }
    if (!part.best_suited.empty() && !part.spots.empty())
        text += wrapped(part.best_suited_words, 0, 0) + '\n';
    if (part.waived > 0)
        text += fmt::format("{} waived and not told.\n", plural(part.waived, "spot"));
    for (const std::string& assumption : part.assumptions)
        text += wrapped("Assumed: " + assumption + '.', 0, 0) + '\n';
    for (std::size_t i = 0; i < std::min(part.remarks.size(), most_remarks); ++i)
        text += wrapped("Remark: " + part.remarks[i] + '.', 0, 0) + '\n';
    if (part.remarks.size() > most_remarks)
        text += fmt::format("And {} more remarks.\n", part.remarks.size() - most_remarks);
    return text;
}

/// Lines that became longer than 80 columns when signs became words.
std::string narrowed(const std::string& text)
{
    std::string result;
    for (std::size_t from = 0; from < text.size();) {
        const std::size_t to = std::min(text.find('\n', from), text.size());
        const std::string line = text.substr(from, to - from);
        const std::size_t indent = std::min(line.find_first_not_of(' '), line.size());
        result += columns_of(line) <= width
                      ? line
                      : std::string(indent, ' ') + wrapped(line.substr(indent), indent, indent);
        result += '\n';
        from = to + 1;
    }
    return result;
}

} // namespace

std::string spots_text(const SpotsReport& report, const SpotsRequest& request)
{
    std::string text;
    if (report.parts.size() > 1) {
        std::size_t worst = 0, risky = 0, awkward = 0;
        for (const PartReport& part : report.parts) {
            worst += part.count(Grade::unplayable);
            risky += part.count(Grade::risky);
            awkward += part.count(Grade::awkward);
        }
        text += wrapped(fmt::format("{} clarinet parts: {} unplayable, {} risky, {} awkward.",
                                    report.parts.size(), plural(worst, "place"), risky, awkward),
                        0, 0) +
                "\n\n";
    }
    bool fresh = false;
    for (const PartReport& part : report.parts) {
        text += summary(part, request);
        for (const SpotReport& spot : part.spots)
            if (spot.grade >= request.least) {
                text += '\n' + spot_text(spot);
                fresh = fresh || spot.fresh;
            }
        text += '\n';
    }
    for (const std::string& chair : report.chairs)
        text += wrapped(chair, 0, 0) + '\n';
    if (fresh)
        text += wrapped("* not there when the list of waived spots was last written.", 0, 0) + '\n';
    std::string unjudged = "Not judged: ";
    for (std::size_t i = 0; i < report.not_judged.size(); ++i)
        unjudged += (i == 0 ? "" : ", ") + report.not_judged[i];
    text += wrapped(unjudged + '.', 0, 0) + '\n';
    return request.utf8 ? text : narrowed(plain_ascii(text));
}

} // namespace canebrake
