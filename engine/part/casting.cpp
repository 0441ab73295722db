// SPDX-License-Identifier: MIT
#include "engine/part/casting.h"

#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>

namespace canebrake
{
namespace
{

using Stretch = Casting::Stretch;

const FamilyMember& asked_for(const std::string& option, const std::string& name)
{
    const FamilyMember* member = member_named(name);
    if (member == nullptr)
        throw InputError(fmt::format("{}: found '{}', wanted {}", option, name, family_names()),
                         Fault::usage);
    return *member;
}

/// What stands in for a member without a model: what it is read on, its nearest relative, the B♭.
std::string stand_in(const FamilyMember& member)
{
    if (has_model(member.name))
        return member.name;
    if (!member.played_on.empty() && has_model(member.played_on))
        return member.played_on;
    const std::string relative = member.name == "low-C bass"        ? "bass"
                                 : member.name == "basset clarinet" ? "A"
                                                                    : "";
    return has_model(relative) ? relative : "B-flat";
}

std::string title(const std::string& name)
{
    return "the " + member_named(name)->title;
}

std::string title(const Stretch& stretch)
{
    return "the " + (stretch.printed != nullptr ? stretch.printed->title : stretch.other);
}

/// Notes of a stretch, as a range of indices.
std::pair<std::size_t, std::size_t> notes_of(const Line& line, const std::vector<Stretch>& stretches,
                                             std::size_t which)
{
    const auto from_quarter = [&](double quarter) {
        return std::size_t(std::lower_bound(line.notes.begin(), line.notes.end(), quarter,
                                            [](const Note& n, double q) { return n.start_quarter < q; }) -
                           line.notes.begin());
    };
    const std::size_t from = which == 0 ? 0 : from_quarter(stretches[which].from);
    const std::size_t to =
        which + 1 < stretches.size() ? from_quarter(stretches[which + 1].from) : line.notes.size();
    return {from, to};
}

std::string verdict(const InstrumentChange& change)
{
    const ChangeTime& wanted = change.wanted;
    const std::string shared =
        wanted.shared_mouthpiece_s > 0.0 ? "; 3 to 5 s more if one mouthpiece serves both" : "";
    const std::string word = change.seconds < wanted.risky_below_s ? "risky"
                             : change.seconds < wanted.safe_from_s ? "short"
                                                                   : "enough";
    return fmt::format("bar {}: from {} to {} ({}) in {:.1f} s: {} ({:.0f} s is safe{})", change.bar,
                       change.from, change.to, change.why, std::max(0.0, change.seconds), word,
                       wanted.safe_from_s, shared);
}

std::vector<Stretch> printed_stretches(const Line& line, const std::string& instrument)
{
    if (!instrument.empty())
        return {{0.0, &asked_for("--instrument", instrument), "", "", ""}};
    std::vector<Stretch> stretches;
    bool any_clarinet = false;
    for (const InstrumentStretch& said : line.instruments) {
        const FamilyMember* member = said.name.empty() ? nullptr : member_named(said.name);
        any_clarinet |= member != nullptr;
        stretches.push_back({said.start_quarter, member, said.other, "", said.why});
    }
    const FamilyMember* const plain = member_named("B-flat");
    if (!any_clarinet)
        return {{0.0, plain, stretches.empty() ? "" : stretches.front().other, "",
                 stretches.empty() ? "" : stretches.front().why}};
    if (stretches.front().from > 0.0)
        stretches.insert(stretches.begin(), {0.0, plain, "", "", ""});
    return stretches;
}

/// The first remark: what the part is for, by what it was told, and what it is played on.
void remark_on_choice(const Stretch& first, const std::string& instrument, const std::string& on,
                      std::vector<std::string>& remarks)
{
    const bool stranger = !first.other.empty(); // a part for a flute, played on a clarinet
    if (!instrument.empty() && first.played_on == first.printed->name)
        return;
    if (first.why.empty() && instrument.empty() && (on.empty() || first.played_on == "B-flat"))
        return;
    const std::string whom = stranger ? "the " + first.other : title(first);
    const std::string because =
        first.why.empty() ? instrument.empty() ? " (it does not say)" : "" : " (" + first.why + ")";
    std::string played;
    if (stranger || first.played_on != first.printed->name) {
        played = ", played at its sounding pitch on " + title(first.played_on);
        if (!stranger && on.empty())
            played +=
                first.printed->played_on == first.played_on ? ", as it is read" : ", for want of a model";
    }
    remarks.push_back("the part is for " + whom + because + played);
}

/// The instrument that `--on` names, or what it is played on.
std::string brought_along(const std::string& on)
{
    const FamilyMember& member = asked_for("--on", on);
    if (!has_model(member.name) && !has_model(member.played_on))
        throw InputError(
            fmt::format("--on: found '{}', which cannot be played yet, wanted {}", on, names_with_model()),
            Fault::usage);
    return has_model(member.name) ? member.name : member.played_on;
}

/// Remark on a stretch that is left out, or played on something else; empty: none.
std::string remark_on_stretch(const Stretch& here, const Note& begins, std::size_t notes, double seconds)
{
    if (here.printed == nullptr)
        return fmt::format("bar {}: {} note{} for the {} left out, {:.1f} s", begins.source.bar, notes,
                           notes == 1 ? "" : "s", here.other, seconds);
    if (here.played_on != here.printed->name)
        return fmt::format("bar {}: for {}, played at its sounding pitch on {}", begins.source.bar,
                           title(here), title(here.played_on));
    return "";
}

/// The casting's changes of instrument, and remarks on them and on stretches that are not played as printed.
/// `brought`: the one that plays all of it; empty: each stretch has its own.
void tell_changes(const Line& line, const std::string& brought, Casting& casting)
{
    const TempoMap tempo(line.tempo);
    const Stretch* before = nullptr;
    double free_s = 0.0; // when the old one is put down
    for (std::size_t i = 0; i < casting.stretches.size(); ++i) {
        const Stretch& here = casting.stretches[i];
        const auto [from, to] = notes_of(line, casting.stretches, i);
        if (from == to)
            continue;
        const Note& begins = line.notes[from];
        const double start_s = tempo.seconds_at(begins.start_quarter);
        const bool changes = before != nullptr &&
                             (before->played_on != here.played_on || before->printed != here.printed) &&
                             (brought.empty() || before->printed == nullptr || here.printed == nullptr);
        if (changes) {
            InstrumentChange change{begins.source.bar,
                                    title(*before),
                                    title(here),
                                    start_s - free_s,
                                    change_time(before->printed, here.printed),
                                    here.why,
                                    begins.source,
                                    begins.start_quarter};
            casting.remarks.push_back(verdict(change));
            casting.changes.push_back(std::move(change));
        }
        free_s = start_s;
        for (std::size_t n = from; n < to; ++n)
            free_s = std::max(free_s,
                              tempo.seconds_at(line.notes[n].start_quarter + line.notes[n].length_quarters));
        const bool told_already = here.printed != nullptr && (i == 0 || !brought.empty());
        if (auto remark = remark_on_stretch(here, begins, to - from, free_s - start_s);
            !told_already && !remark.empty())
            casting.remarks.push_back(std::move(remark));
        before = &here;
    }
}

} // namespace

const Stretch& Casting::at(double quarter) const
{
    auto next = std::upper_bound(stretches.begin(), stretches.end(), quarter,
                                 [](double q, const Stretch& s) { return q < s.from; });
    return next == stretches.begin() ? *next : *(next - 1);
}

Casting cast(const Line& line, const std::string& instrument, const std::string& on)
{
    const std::string brought = on.empty() ? "" : brought_along(on);
    Casting casting;
    casting.stretches = printed_stretches(line, instrument);
    for (Stretch& stretch : casting.stretches)
        if (stretch.printed != nullptr)
            stretch.played_on = brought.empty() ? stand_in(*stretch.printed) : brought;
    const Stretch& first = casting.stretches.front();
    if (!instrument.empty() && on.empty() && first.played_on != first.printed->name &&
        first.played_on != first.printed->played_on)
        throw InputError(
            fmt::format("--instrument: found '{}', which cannot be played yet, wanted {}, or --on "
                        "with one of them",
                        instrument, names_with_model()),
            Fault::usage);
    if (first.printed != nullptr)
        remark_on_choice(first, instrument, on, casting.remarks);
    tell_changes(line, brought, casting);
    return casting;
}

} // namespace canebrake
