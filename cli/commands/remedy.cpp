// SPDX-License-Identifier: MIT
#include "cli/commands/remedy.h"

#include "cli/commands/progress.h"
#include "engine/spelling/basis.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <ostream>

namespace canebrake
{
namespace
{

/// A judge's spot behind a told one.
struct Origin {
    const JudgedPart::Stretch* stretch = nullptr;
    const Spot* spot = nullptr;
};

/// Told spots in the order and with the numbers of `canebrake spots` for one part, each with its origin.
std::vector<std::pair<SpotReport, Origin>> numbered(const JudgedPart& part)
{
    std::vector<Origin> origins;
    for (const JudgedPart::Stretch& stretch : part.stretches())
        for (const Spot& spot : stretch.spots)
            origins.push_back({&stretch, &spot});
    std::vector<std::pair<SpotReport, Origin>> all;
    int number = 0;
    for (SpotReport& told : report_of(part).spots) {
        told.number = ++number;
        const auto origin = std::find_if(origins.begin(), origins.end(), [&](const Origin& o) {
            const Performed p = part.performed(*o.stretch);
            return o.spot->cause == told.cause && o.spot->grade == told.grade &&
                   std::abs(o.stretch->played->offset_s + p.note(o.spot->from).start_s - told.start_s) < 1e-9;
        });
        Origin found{};
        if (origin != origins.end()) {
            found = *origin;
            origins.erase(origin);
        }
        all.emplace_back(std::move(told), found);
    }
    return all;
}

/// Of the whole part as `canebrake spots` counts it: a warning of the pitch basis comes first there.
bool basis_comes_first(const RemedyRequest& request, const Score& score, const Line& line,
                       const JudgedPart& judged)
{
    const FamilyMember* member = judged.played().casting.stretches.front().printed;
    if (member == nullptr || request.bars)
        return false;
    std::vector<const Line*> others;
    for (const Line& part : score.parts)
        if (part.part_id != line.part_id && !part.notes.empty())
            others.push_back(&part);
    return pitch_basis_looks_wrong(judged.played().line, others, member->transposition, member).has_value();
}

} // namespace

void remedy(const RemedyRequest& request, const Console& console)
{
    if (request.which_clarinet)
        return which_clarinet(request, console);
    if (!request.for_instrument.empty())
        return write_for_instrument(request, console);

    TrillBooks books(request.settings.kit);
    const Score score = score_asked_for(request);
    const Line chosen = choose_part(score, request.part);
    const TrialRoom room(chosen, request, books);
    const JudgedPart judged = room.judged(room.line(), "", {});
    const auto spots = numbered(judged);
    const int shift = basis_comes_first(request, score, chosen, judged) ? 1 : 0;

    RemedyReport report;
    report.part_name = chosen.part_name;
    report.instrument = judged.stretches().front().played->book->chart().instrument().title;
    report.remarks = judged.played().casting.remarks;
    if (shift > 0)
        report.remarks.push_back(
            "the part may stand at another pitch than it says: see canebrake spots, number 1");
    report.spots = spots.size();
    if (request.spot > 0 && std::none_of(spots.begin(), spots.end(), [&](const auto& s) {
            return s.first.number + shift == request.spot;
        }))
        throw InputError(fmt::format("--spot: found {}, wanted a number up to {}", request.spot,
                                     int(spots.size()) + shift),
                         Fault::usage);
    RemedySearch search(room, request.most);
    {
        Progress progress(console.err, console.columns);
        const double whole_s = TempoMap(room.line().tempo).seconds_at(room.line().end_quarter);
        for (const auto& [told, origin] : spots) {
            if (console.stop != nullptr && *console.stop)
                throw BrokenOff{};
            if (request.spot > 0 && told.number + shift != request.spot)
                continue;
            ToldRemedies one{told, {}, false};
            one.told.number += shift;
            if (origin.spot != nullptr) {
                one.found = search.find(judged, *origin.stretch, *origin.spot);
                one.searched = true;
            }
            report.all.push_back(std::move(one));
            progress.show(told.end_s, whole_s);
        }
    }
    if (request.take.first > 0)
        return write_remedy(room, judged, report.all.front(), request, console);
    console.out << (request.json ? remedy_json(report, request) : remedy_text(report, request)) << std::flush;
}

} // namespace canebrake
