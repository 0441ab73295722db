// SPDX-License-Identifier: MIT
#include "engine/remedy/search.h"

#include "engine/remedy/scene.h"
#include "engine/remedy/slower.h"
#include "engine/telling/names.h"
#include "engine/telling/spot_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace canebrake
{
namespace
{

constexpr double time_to_change_s =
    8.0; // safe for most changes: judgement of the trade, as ChangeTime has it

/// Whether the ear has lost what the rules have won: the note does not come any more, or the hole between the
/// notes has grown. The judge does not listen to every place that is easy by its fingers.
bool spoils(Cause cause, const Heard& before, const Heard& after)
{
    constexpr double deeper_db = 6.0;
    const double tone = after.tone_change.value_or(1.0);
    if (cause == Cause::throat &&
        (std::abs(after.jump_db.value_or(0.0)) >= 3.0 || tone >= 1.2 || tone <= 1.0 / 1.2))
        return true;
    const bool must_speak = cause == Cause::speech || cause == Cause::entrance || cause == Cause::pitch;
    const bool heard_as_a_slur = after.settle_ms.has_value(); // behind the tongue no change is heard
    return (((before.arrived && heard_as_a_slur) || must_speak) && !after.arrived) ||
           (before.dip_db && after.dip_db && *after.dip_db > *before.dip_db + deeper_db);
}

/// Best first, at most so many. A second one of a kind is told only if it leaves the place milder.
std::vector<Remedy> chosen(std::vector<Remedy> all, std::size_t most)
{
    std::stable_sort(all.begin(), all.end(),
                     [](const Remedy& a, const Remedy& b) { return a.score < b.score; });
    std::vector<Remedy> first, second;
    for (Remedy& remedy : all) {
        const auto of_kind = [&](const Remedy& r) { return r.idea.kind == remedy.idea.kind; };
        const bool no_milder = std::any_of(first.begin(), first.end(), [&](const Remedy& r) {
            return of_kind(r) && r.after.grade <= remedy.after.grade;
        });
        if (!no_milder)
            (std::any_of(first.begin(), first.end(), of_kind) ? second : first).push_back(std::move(remedy));
    }
    for (Remedy& remedy : second)
        first.push_back(std::move(remedy));
    if (first.size() > most)
        first.resize(most);
    std::stable_sort(first.begin(), first.end(),
                     [](const Remedy& a, const Remedy& b) { return a.score < b.score; });
    return first;
}

/// What the player does otherwise at a place, once one note is told: every note that is taken another way.
std::string ways_taken(const TrialRoom& room, const Window& window, const Line& version, NoteRange place)
{
    JudgeOptions silent;
    silent.listen = silent.ideal = false;
    const JudgedPart before = room.judged(cut_to_quarters(room.line(), window.from, window.to), "", silent);
    const JudgedPart after = room.judged(cut_to_quarters(version, window.from, window.to), "", silent);
    std::string text;
    if (before.stretches().size() != 1 || after.stretches().size() != 1)
        return text;
    const Performed old = before.performed(before.stretches().front());
    const Performed now = after.performed(after.stretches().front());
    std::set<std::string> said;
    for (std::size_t i = 0; i < std::min(old.size(), now.size()); ++i) {
        const std::size_t number = now.printed(i).source.number;
        const Choice &was = old.part.choices[i], &is = now.part.choices[i];
        if (number < place.from || number > place.to || was.hands == is.hands)
            continue;
        const std::string one =
            fmt::format("{} {}", written_name(now, i), way_in_words(is.fingering, is.hands, was));
        if (said.insert(one).second)
            text += (text.empty() ? "take " : ", ") + one;
    }
    return text;
}

} // namespace

double score_of(const Idea& idea, const Figures& before, const Figures& after)
{
    const double gain =
        double(int(before.grade) - int(after.grade)) + (after.grade == Grade::easy ? 0.5 : 0.0);
    return (intrusion(idea.kind) + idea.extra) / gain;
}

std::optional<Remedy> RemedySearch::tried(const Scene& scene, const Idea& idea) const
{
    const std::vector<Line> versions = idea.play(room_.line(), scene.target.place);
    const auto verdicts = [&](bool listen) {
        std::vector<Verdicts> all;
        for (const Line& version : versions)
            all.push_back(room_.verdicts(version, scene.window, "", listen));
        return all;
    };
    // What the rules alone do not find easier, the ear will not either.
    if (scene.rule_decides && !helps(compare(scene.by_rule, verdicts(false), scene.target)))
        return {};
    const Comparison c = compare(scene.by_ear, verdicts(true), scene.target);
    if (!helps(c))
        return {};
    Remedy remedy{idea, c.before, c.after, c.left, {}, {}, 0, 0, versions.size() == 1, 0.0};
    if (versions.size() == 1)
        remedy.after.heard =
            room_.heard_at(versions.front(), scene.window, "", scene.target.spot, scene.target.place);
    if (spoils(scene.target.spot.cause, c.before.heard, remedy.after.heard))
        return {};
    if (idea.kind == ChangeKind::fingering)
        if (const auto text = ways_taken(room_, scene.window, versions.front(), scene.target.place);
            !text.empty())
            remedy.idea.what = text;
    remedy.score = score_of(idea, c.before, c.after);
    return remedy;
}

Window RemedySearch::passage_of(NoteRange place) const
{
    const Line& line = room_.line();
    const TempoMap tempo(line.tempo);
    Window passage = room_.everything();
    const auto rest_before = [&](std::size_t i) {
        const Note& before = line.notes[i - 1];
        return tempo.seconds_at(line.notes[i].start_quarter) -
               tempo.seconds_at(before.start_quarter + before.length_quarters);
    };
    for (std::size_t i = place.from; i > 0; --i)
        if (rest_before(i) >= time_to_change_s) {
            passage.from = line.notes[i].start_quarter;
            break;
        }
    for (std::size_t i = place.to + 1; i < line.notes.size(); ++i)
        if (rest_before(i) >= time_to_change_s) {
            passage.to = line.notes[i].start_quarter;
            break;
        }
    return passage;
}

const Verdicts& RemedySearch::passage_verdicts(const std::string& on, const Window& passage, bool listen)
{
    const auto [at, fresh] = passages_.try_emplace({on, passage.from, listen});
    if (fresh)
        at->second = room_.verdicts(room_.line(), passage, on, listen);
    return at->second;
}

std::optional<Remedy> RemedySearch::on_another(const Scene& scene, const Idea& idea)
{
    const PlacedSpot& found = scene.target;
    const Window passage = passage_of(found.place);
    const auto judged = [&](bool listen) {
        return compare(passage_verdicts("", passage, listen), {passage_verdicts(idea.on, passage, listen)},
                       found);
    };
    if (scene.rule_decides && judged(false).after.grade >= found.spot.grade)
        return {}; // the ear would not find it easier
    const Comparison c = judged(true);
    if (c.after.grade >= c.before.grade || c.trouble_after >= c.trouble_before)
        return {};
    Remedy remedy{idea, c.before, c.after, c.left, {}, passage, c.places_before, c.places_after, false, 0.0};
    remedy.after.heard =
        room_.heard_at(room_.line(), room_.around(found.place, 2), idea.on, found.spot, found.place);
    remedy.score = score_of(idea, c.before, c.after);
    return remedy;
}

SpotRemedies RemedySearch::find(const JudgedPart& part, const JudgedPart::Stretch& stretch, const Spot& spot)
{
    const Performed p = part.performed(stretch);
    SpotRemedies result{{spot, place_of(p, spot.from, spot.to)}, {}, {}, 0, true};
    for (const std::size_t again : spot.again)
        result.again.push_back(place_of(p, again, again + spot.to - spot.from));
    const auto scene = scene_of(room_, result.found);
    if (!scene) {
        result.judged_alone = false;
        return result;
    }
    const Subject subject{p, spot, room_.line(), result.found.place};
    std::vector<Remedy> all;
    const auto try_these = [&](auto collect) {
        std::vector<Idea> ideas;
        collect(subject, ideas);
        for (const Idea& idea : ideas) {
            ++result.tried;
            if (auto remedy = idea.on.empty() ? tried(*scene, idea) : on_another(*scene, idea))
                all.push_back(std::move(*remedy));
        }
    };
    try_these(small_ideas);
    try_these(shared_ideas);
    try_these(instrument_ideas);
    try_these(octave_ideas);
    if (tempo_matters(spot)) {
        ++result.tried;
        if (auto remedy = slower(room_, *scene, Grade::easy))
            all.push_back(std::move(*remedy));
        if (spot.grade > Grade::awkward)
            if (auto remedy = slower(room_, *scene, Grade::awkward);
                remedy && remedy->after.grade == Grade::awkward)
                all.push_back(std::move(*remedy));
    }
    try_these(ornament_ideas);
    if (all.size() < most_)
        try_these(transposing_ideas);
    result.remedies = chosen(std::move(all), most_);
    return result;
}

std::vector<Line> with_remedy(const TrialRoom& room, const SpotRemedies& spot, const Remedy& remedy)
{
    if (!remedy.idea.play)
        return {room.line()};
    if (!remedy.everywhere)
        return remedy.idea.play(room.line(), spot.found.place);
    std::vector<NoteRange> places = spot.again;
    if (remedy.idea.kind == ChangeKind::tempo)
        places.clear(); // the tempo holds for all of its section
    places.push_back(spot.found.place);
    std::sort(places.begin(), places.end(), [](NoteRange a, NoteRange b) { return a.from > b.from; });
    Line line = room.line();
    for (const NoteRange place : places) // from the last: what is written out makes more notes
        line = remedy.idea.play(line, place).front();
    return {line};
}

} // namespace canebrake
