// SPDX-License-Identifier: MIT
#include "engine/workbench/taking.h"

#include "engine/files/editing/edit_musicxml.h"
#include "engine/files/writing/part_page.h"
#include "engine/part/choose_part.h"
#include "engine/part/printed_part.h"
#include "engine/spelling/basis.h"
#include "engine/spelling/key.h"
#include "engine/workbench/bench.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>

namespace canebrake
{
namespace
{

GradeCounts counted(const Verdicts& verdicts)
{
    GradeCounts counts{};
    for (const PlacedSpot& placed : verdicts)
        if (placed.spot.grade > Grade::easy)
            ++counts[std::size_t(placed.spot.grade) - std::size_t(Grade::awkward)];
    return counts;
}

[[noreturn]] void refuse(const RemedyNumber& number, const std::string& why)
{
    throw InputError(fmt::format("remedy {}.{}: {}", number.spot, number.remedy, why), Fault::usage);
}

/// A remedy that was asked for, with the places it changes.
struct Chosen {
    RemedyNumber number;
    SpotRemedies spot;
    Remedy remedy;

    std::vector<NoteRange> places() const
    {
        std::vector<NoteRange> all;
        if (remedy.everywhere &&
            remedy.idea.kind != ChangeKind::tempo) // a tempo holds for all of its section
            all = spot.again;
        all.push_back(spot.found.place);
        return all;
    }
};

Chosen chosen(const Remedies& remedies, const RemedyNumber& number, const Watch& watch)
{
    RemedyReport report =
        remedies.find(number.spot, std::size_t(std::max(3, number.remedy)), {{}, watch.stop});
    SpotRemedies& found = report.all.front().found;
    const std::size_t count = found.remedies.size();
    if (number.remedy < 1 || std::size_t(number.remedy) > count)
        refuse(number, fmt::format("spot {} has {} remed{}", number.spot,
                                   count == 0 ? "no" : std::to_string(count), count == 1 ? "y" : "ies"));
    Remedy remedy = found.remedies[std::size_t(number.remedy) - 1];
    return {number, std::move(found), std::move(remedy)};
}

void refuse_clashes(const std::vector<Chosen>& all)
{
    for (std::size_t i = 0; i < all.size(); ++i)
        for (std::size_t j = 0; j < i; ++j)
            for (const NoteRange a : all[i].places())
                for (const NoteRange b : all[j].places())
                    if (a.from <= b.to && b.from <= a.to)
                        refuse(all[i].number, fmt::format("it changes notes that {}.{} changes too; take one "
                                                          "of them",
                                                          all[j].number.spot, all[j].number.remedy));
}

/// All of them in one line, from its end: what is written out makes more notes.
Line with_all(const TrialRoom& room, const std::vector<Chosen>& all)
{
    std::vector<std::pair<NoteRange, const Chosen*>> steps;
    for (const Chosen& one : all)
        for (const NoteRange place : one.places())
            steps.emplace_back(place, &one);
    std::sort(steps.begin(), steps.end(),
              [](const auto& a, const auto& b) { return a.first.from > b.first.from; });
    Line line = room.line();
    for (const auto& [place, one] : steps) {
        std::vector<Line> players = one->remedy.idea.play(line, place);
        if (players.size() != 1)
            refuse(one->number, "it needs a second player; take it alone");
        line = std::move(players.front());
    }
    return line;
}

} // namespace

TakenRemedies::TakenRemedies(const Remedies& remedies, const std::vector<RemedyNumber>& numbers,
                             const LineRequest& request, const Watch& watch)
    : room_(remedies.room()), request_(request), before_(counted(verdicts_of(remedies.judged())))
{
    std::vector<Chosen> all;
    for (const RemedyNumber& number : numbers) {
        watch.check();
        all.push_back(chosen(remedies, number, watch));
        what_.push_back(all.back().remedy.idea.what);
        watch.tell(double(all.size()), double(numbers.size() + 1));
    }
    if (all.empty())
        throw InputError("found no remedy to take, wanted one, such as 2.1", Fault::usage);
    const Chosen& first = all.front();
    as_it_says_ = !first.remedy.idea.on.empty();
    if (all.size() == 1) {
        versions_ = with_remedy(room_, first.spot, first.remedy);
        if (as_it_says_)
            versions_.front() =
                on_instrument(versions_.front(), remedies.judged().played().casting,
                              first.remedy.passage->from, first.remedy.passage->to, first.remedy.idea.on);
    } else {
        for (const Chosen& one : all)
            if (!one.remedy.idea.on.empty())
                refuse(one.number, "it changes the clarinet; take it alone");
        refuse_clashes(all);
        versions_ = {with_all(room_, all)};
    }
    std::erase_if(versions_, [](const Line& version) { return version.notes.empty(); });
    JudgeOptions options;
    options.ideal = false;
    Verdicts after;
    for (PartToPlay& part : played()) {
        watch.check();
        const Verdicts found = verdicts_of(JudgedPart(std::move(part), request_.settings, options));
        after.insert(after.end(), found.begin(), found.end());
    }
    after_ = counted(after);
}

std::vector<PartToPlay> TakenRemedies::played() const
{
    LineRequest request = room_.request();
    if (as_it_says_) {
        request.instrument.clear();
        request.on.clear();
    }
    std::vector<PartToPlay> parts;
    for (const Line& version : versions_)
        parts.push_back(part_to_play(version, request, room_.books()));
    return parts;
}

std::optional<std::string> TakenRemedies::edited(const Bench& bench, const Casting& casting,
                                                 std::vector<std::string>& remarks) const
{
    if (!bench.is_musicxml())
        return {};
    const Line as_played = written_for(room_.line(), casting);
    const bool as_printed = std::equal(as_played.notes.begin(), as_played.notes.end(),
                                       room_.line().notes.begin(), room_.line().notes.end(),
                                       [](const Note& a, const Note& b) { return a.printed == b.printed; });
    if (as_it_says_ || !as_printed) {
        remarks.push_back("the part is for another clarinet than the file's: it is set anew, without the "
                          "directions, titles and layout of the file");
        return {};
    }
    return edit_musicxml(bench.bytes(), bench.name(), room_.line(), versions_.front(), remarks);
}

std::vector<std::string> TakenRemedies::pages(const Bench& bench, std::vector<std::string>& remarks) const
{
    std::vector<std::string> pages;
    const std::vector<PartToPlay> parts = played();
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const Casting& casting = parts[i].casting;
        auto page = i == 0 ? edited(bench, casting, remarks) : std::nullopt;
        pages.push_back(page ? std::move(*page)
                             : page_of(written_for(versions_[i], casting), casting, bench.title(), remarks));
    }
    return pages;
}

Sounding TakenRemedies::sound() const
{
    return Sounding(played(), request_);
}

PartForInstrument part_for_instrument(const Bench& bench, const LineRequest& request,
                                      const FamilyMember& member)
{
    TrillBooks books(request.settings.kit);
    const Line chosen = choose_part(bench.score(), request.part);
    const TrialRoom room(chosen, request, books);
    const Casting now = room.played(room.line()).casting;
    PartForInstrument result;
    if (const FamilyMember* printed = now.stretches.front().printed; printed != nullptr && !request.bars) {
        std::vector<const Line*> others;
        for (const Line& part : bench.score().parts)
            if (part.part_id != chosen.part_id && !part.notes.empty())
                others.push_back(&part);
        if (const auto wrong = pitch_basis_looks_wrong(room.line(), others, printed->transposition, printed))
            result.warnings.push_back(wrong->detail);
    }
    // The page is for this one, whether or not we can play it.
    Casting casting;
    casting.stretches = {{0.0, &member, "", member.name, ""}};
    const Line page = written_for(with_key(room.line()), casting);
    result.notes = page.notes.size();
    for (const Note& note : page.notes)
        result.off += note.printed < member.lowest.number || note.printed > member.top_extreme.number;
    if (result.off > 0)
        result.warnings.push_back(
            fmt::format("{} note{} off the {}", result.off, result.off == 1 ? "" : "s", member.title));
    result.fifths = key_at(page.keys, 0.0);
    result.musicxml = page_of(page, casting, bench.title(), result.remarks);
    return result;
}

} // namespace canebrake
