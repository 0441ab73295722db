// SPDX-License-Identifier: MIT
#include "engine/remedy/remedies.h"

#include "engine/part/choose_part.h"
#include "engine/spelling/basis.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

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
bool basis_comes_first(const LineRequest& request, const Score& score, const Line& line,
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

Remedies::Remedies(const Score& score, const LineRequest& request)
    : books_(request.settings.kit), chosen_(choose_part(score, request.part)),
      room_(chosen_, request, books_), judged_(room_.judged(room_.line(), "", {})),
      basis_first_(basis_comes_first(request, score, chosen_, judged_))
{
}

RemedyReport Remedies::find(int spot, std::size_t most, const Watch& watch) const
{
    const auto spots = numbered(judged_);
    const int shift = basis_first_ ? 1 : 0;
    RemedyReport report;
    report.part_name = chosen_.part_name;
    report.instrument = judged_.stretches().front().played->book->chart().instrument().title;
    report.remarks = judged_.played().casting.remarks;
    if (basis_first_)
        report.remarks.push_back(
            "the part may stand at another pitch than it says: see canebrake spots, number 1");
    report.spots = spots.size();
    if (spot > 0 && std::none_of(spots.begin(), spots.end(),
                                 [&](const auto& s) { return s.first.number + shift == spot; }))
        throw InputError(fmt::format("spot {}: wanted a number up to {}", spot, int(spots.size()) + shift),
                         Fault::usage);
    RemedySearch search(room_, most);
    const double whole_s = TempoMap(room_.line().tempo).seconds_at(room_.line().end_quarter);
    for (const auto& [told, origin] : spots) {
        watch.check();
        if (spot > 0 && told.number + shift != spot)
            continue;
        ToldRemedies one{told, {}, false};
        one.told.number += shift;
        if (origin.spot != nullptr) {
            one.found = search.find(judged_, *origin.stretch, *origin.spot);
            one.searched = true;
        }
        report.all.push_back(std::move(one));
        watch.tell(told.end_s, whole_s);
    }
    return report;
}

} // namespace canebrake
