// SPDX-License-Identifier: MIT
#include "engine/telling/score_report.h"

#include "engine/part/choose_part.h"
#include "engine/score/score_view.h"
#include "engine/spelling/basis.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace canebrake
{
namespace
{

constexpr std::size_t enough_notes = 12; // without one slur among so many, a file may just not say

const std::vector<std::string> not_judged{"multiphonics",
                                          "slap tongue",
                                          "growl",
                                          "falls",
                                          "quarter-tones beyond the fingering",
                                          "key systems other than the Boehm"};

/// Whether nobody wrote any slur, though the line is long enough to have some.
bool without_slurs(const Line& line)
{
    return line.notes.size() >= enough_notes && std::none_of(line.notes.begin(), line.notes.end(),
                                                             [](const Note& n) { return n.slurred_to_next; });
}

/// All notes joined that touch and move.
Line all_slurred(Line line)
{
    constexpr double touching = 0.02; // quarters
    for (std::size_t i = 0; i + 1 < line.notes.size(); ++i) {
        Note& note = line.notes[i];
        const Note& next = line.notes[i + 1];
        note.slurred_to_next = next.start_quarter - note.start_quarter - note.length_quarters < touching &&
                               next.sounding.number != note.sounding.number;
    }
    return line;
}

bool of_a_slur(Cause cause)
{
    static constexpr std::array causes{Cause::crossing,      Cause::rocking,  Cause::leap,   Cause::hanging,
                                       Cause::little_finger, Cause::contrary, Cause::fingers};
    return std::find(causes.begin(), causes.end(), cause) != causes.end();
}

std::vector<std::string> assumptions_of(const Line& line, const LineRequest& request)
{
    std::vector<std::string> all;
    if (request.phrase)
        return all;
    if (line.dynamics.empty() && std::none_of(line.notes.begin(), line.notes.end(),
                                              [](const Note& n) { return n.velocity.has_value(); }))
        all.push_back("no dynamics are given: mf throughout");
    if (without_slurs(line))
        all.push_back("no slurs are given: what is fast is judged tongued and slurred, and says which");
    return all;
}

/// Which soprano of those the player owns takes the part with least trouble, by the rules alone; the figures
/// of all four are told.
void find_best_suited(PartReport& report, const Line& line, const LineRequest& request, TrillBooks& books,
                      const JudgedPart& judged)
{
    static constexpr std::array<const char*, 4> sopranos{"B-flat", "A", "C", "E-flat"};
    const Casting& casting = judged.played().casting;
    const std::string& current = casting.stretches.front().played_on;
    if (!request.on.empty() || casting.stretches.size() > 1 ||
        std::find(sopranos.begin(), sopranos.end(), current) == sopranos.end())
        return;
    JudgeOptions rules;
    rules.listen = false;
    const auto& owned = request.settings.kit.instruments;
    double least = 0.0;
    std::string words;
    for (const char* name : sopranos) {
        LineRequest other = request;
        other.on = name;
        const JudgedPart part(part_to_play(line, other, books), request.settings, rules);
        const PartReport found = report_of(part);
        const double sum = trouble(found.spots);
        const bool at_hand = name == current || std::find(owned.begin(), owned.end(), name) != owned.end();
        const bool better = report.best_suited.empty() || sum < least - 0.5;
        if (at_hand && (better || (sum < least + 0.5 && name == current))) {
            least = sum;
            report.best_suited = name;
        }
        words += fmt::format("{}{} {}/{}/{}", words.empty() ? "" : ", ", name, found.count(Grade::unplayable),
                             found.count(Grade::risky), found.count(Grade::awkward));
    }
    report.best_suited_words =
        fmt::format("Best suited of those at hand, by the rules: the {} (unplayable/risky/awkward: {}).",
                    member_named(report.best_suited)->title, words);
}

/// Only with the whole score at hand: who else plays at a spot.
void tell_exposure(PartReport& report, const ScoreView& view, std::size_t part)
{
    for (SpotReport& spot : report.spots) {
        const Exposure found =
            view.exposure(part, spot.start_quarter, std::max(spot.end_quarter, spot.start_quarter + 0.01));
        spot.exposure = exposure_words(found);
        spot.weight = found.weight;
        if (spot.cause != Cause::pitch && spot.cause != Cause::entrance)
            continue;
        for (const std::string& name : view.high_winds_in_unison(part, spot.start_quarter, spot.end_quarter))
            spot.sentence += fmt::format("; {} is in unison, and every cent shows", name);
    }
}

/// A part that seems to stand at another pitch than it says.
void tell_basis(PartReport& report, const Score& score, std::size_t part, const JudgedPart& judged)
{
    const FamilyMember* member = judged.played().casting.stretches.front().printed;
    if (member == nullptr)
        return;
    std::vector<const Line*> others;
    for (std::size_t i = 0; i < score.parts.size(); ++i)
        if (i != part && !score.parts[i].notes.empty())
            others.push_back(&score.parts[i]);
    const Line& line = judged.played().line;
    const auto found = pitch_basis_looks_wrong(line, others, member->transposition, member);
    if (!found)
        return;
    SpotReport spot;
    spot.cause = Cause::basis;
    spot.grade = found->grade;
    const Source& first = line.notes.front().source;
    spot.at = spot.until = {first.bar, first.bar_index, first.beat, first.id, ""};
    spot.sentence = found->detail;
    report.spots.insert(report.spots.begin(), std::move(spot));
}

/// What would be found if all that touches were slurred, and is not found as it stands.
void add_if_slurred(PartReport& report, const Line& line, const LineRequest& request, TrillBooks& books)
{
    const JudgedPart slurred(part_to_play(all_slurred(line), request, books), request.settings);
    for (SpotReport& spot : report.spots)
        if (spot.cause == Cause::tongue)
            spot.assumed = "tongued";
    for (SpotReport& spot : report_of(slurred).spots) {
        if (!of_a_slur(spot.cause))
            continue;
        const bool known = std::any_of(report.spots.begin(), report.spots.end(), [&](const SpotReport& s) {
            return s.cause == spot.cause && s.at.source == spot.at.source && s.grade >= spot.grade;
        });
        if (known)
            continue;
        spot.assumed = "slurred";
        report.spots.push_back(std::move(spot));
    }
    std::stable_sort(report.spots.begin(), report.spots.end(),
                     [](const SpotReport& a, const SpotReport& b) { return a.start_s < b.start_s; });
}

std::string chair_words(const Score& score, const ChairChange& change)
{
    const std::string parts = fmt::format("{} and {}", score.parts[change.from_part].part_name,
                                          score.parts[change.to_part].part_name);
    if (change.overlaps)
        return fmt::format("One chair, {}: both sound in bar {}: two players are needed.", parts,
                           change.to_bar);
    return fmt::format("One chair, {}: from {} (bar {}) to {} (bar {}) in {:.1f} s: {} ({:.0f} s are safe).",
                       parts, change.from, change.from_bar, change.to, change.to_bar, change.seconds,
                       change.seconds < change.wanted.risky_below_s ? "risky"
                       : change.seconds < change.wanted.safe_from_s ? "awkward"
                                                                    : "enough",
                       change.wanted.safe_from_s);
}

/// The lines to judge, as indices of the score's parts; empty where one was chosen by a word.
std::vector<std::size_t> parts_to_judge(const Score& score, const LineRequest& request)
{
    if (!request.part.empty())
        return {};
    std::vector<std::size_t> parts = clarinet_parts(score);
    std::erase_if(parts, [&](std::size_t i) { return score.parts[i].notes.empty(); });
    return parts;
}

std::size_t index_of(const Score& score, const Line& line)
{
    for (std::size_t i = 0; i < score.parts.size(); ++i)
        if (score.parts[i].part_id == line.part_id && score.parts[i].part_name == line.part_name)
            return i;
    return score.parts.size();
}

/// The lines to judge, each with the score's own remarks.
std::vector<Line> lines_to_judge(const Score& score, const LineRequest& request)
{
    const std::vector<std::size_t> parts = parts_to_judge(score, request);
    if (parts.empty())
        return {choose_part(score, request.part)};
    std::vector<Line> lines;
    for (const std::size_t i : parts) {
        lines.push_back(score.parts[i]);
        lines.back().remarks.insert(lines.back().remarks.end(), score.remarks.begin(), score.remarks.end());
    }
    return lines;
}

/// One part, its spots numbered on from `number`.
PartReport part_report(const Score& score, const ScoreView& view, const Line& line,
                       const LineRequest& request, TrillBooks& books, int& number)
{
    const JudgedPart judged(part_to_play(line, request, books), request.settings);
    PartReport part = report_of(judged);
    // As `remedy` counts them; what is told besides is counted after.
    for (SpotReport& spot : part.spots)
        spot.number = ++number;
    part.assumptions = assumptions_of(judged.played().line, request);
    if (!request.phrase && without_slurs(judged.played().line))
        add_if_slurred(part, line, request, books);
    const std::size_t index = index_of(score, line);
    if (index < score.parts.size() && !request.bars) {
        tell_basis(part, score, index, judged);
        if (score.parts.size() > 1)
            tell_exposure(part, view, index);
    }
    find_best_suited(part, line, request, books, judged);
    for (SpotReport& spot : part.spots)
        if (spot.number == 0)
            spot.number = ++number;
    return part;
}

} // namespace

SpotsReport spots_of(const Score& score, const LineRequest& request, TrillBooks& books, const Watch& watch)
{
    SpotsReport report;
    report.not_judged = not_judged;
    report.lines = lines_to_judge(score, request);
    const ScoreView view(score);
    for (const Line& line : report.lines) {
        watch.check();
        report.parts.push_back(part_report(score, view, line, request, books, report.count));
        watch.tell(double(report.parts.size()), double(report.lines.size()));
    }
    if (request.part.empty() && !request.bars)
        for (const ChairChange& change : chair_changes(score))
            report.chairs.push_back(chair_words(score, change));
    watch.check();
    return report;
}

} // namespace canebrake
