// SPDX-License-Identifier: MIT
#include "cli/commands/columns.h"
#include "cli/commands/spots.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

constexpr std::size_t margin = 5;
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
    if (!spot.again.empty()) {
        std::string bars;
        for (std::size_t i = 0; i < std::min(spot.again.size(), most_places); ++i)
            bars += (i == 0 ? "" : ", ") + spot.again[i].bar;
        text += line_of_words(fmt::format("{} times in all; also in {} {}{}.", spot.again.size() + 1,
                                          spot.again.size() == 1 ? "bar" : "bars", bars,
                                          spot.again.size() > most_places ? " …" : ""));
    }
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
        verdict = fmt::format("Not playable as written: {} unplayable", plural(unplayable, "place"));
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
        std::string places = "Worst: ";
        for (std::size_t i = 0; i < std::min(worst.size(), most_worst); ++i)
            places +=
                fmt::format("{}{} in bar {}", i == 0 ? "" : ", ", title(worst[i]->cause), worst[i]->at.bar);
        text += wrapped(places + ".", 0, 0) + '\n';
    }
    if (!part.best_suited.empty())
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
    return request.utf8 ? text : plain_ascii(text);
}

} // namespace canebrake
