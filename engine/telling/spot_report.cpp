// SPDX-License-Identifier: MIT
#include "engine/telling/spot_report.h"

#include "engine/plan/tongue.h"
#include "engine/spelling/reading.h"
#include "engine/spelling/transposed.h"
#include "engine/telling/names.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

namespace canebrake
{
namespace
{

constexpr std::size_t most_names = 4;   // of a run: the first and the last
constexpr double beyond_anyone_s = 1.5; // to change instrument
constexpr double soft = 2.5;            // ladder level: up to p

/// The last rehearsal mark at or before a bar.
std::string rehearsal_at(const Line& line, int bar_index)
{
    std::string mark;
    for (int i = 0; i <= bar_index && i < int(line.bars.size()); ++i)
        if (!line.bars[std::size_t(i)].rehearsal.empty())
            mark = line.bars[std::size_t(i)].rehearsal;
    return mark;
}

std::size_t index_of(const Line& line, const Source& source)
{
    const auto at = std::find_if(line.notes.begin(), line.notes.end(), [&](const Note& note) {
        return note.source.bar_index == source.bar_index && note.source.id == source.id;
    });
    return at == line.notes.end() ? 0 : std::size_t(at - line.notes.begin());
}

/// From one note to another of a line as it was read.
SpotPlace place_of(const Line& line, const Source& first, const Source& last)
{
    SpotPlace place{first.bar, first.bar_index, first.beat, first.id, rehearsal_at(line, first.bar_index)};
    if (!line.notes.empty()) {
        const std::size_t from = index_of(line, first);
        place.identity = identity_of(line, from, std::max(from, index_of(line, last)));
    }
    return place;
}

SpotPlace place_of(const Line& line, const Source& source)
{
    return place_of(line, source, source);
}

std::pair<std::string, std::string> names_of(const Note& note, int written)
{
    return {spelled(note, written), spelled(note, int(std::lround(note.sounding.number)))};
}

/// The notes a reader sees: those of an ornament once, its main note and its auxiliary.
void name_notes(SpotReport& report, const Performed& p, const Spot& spot)
{
    std::vector<std::pair<std::string, std::string>> names;
    for (std::size_t i = spot.from; i <= spot.to; ++i) {
        auto name = names_of(p.printed(i), p.written(i));
        const bool small = p.printed(i).figure.has_value();
        if (small && std::find(names.begin(), names.end(), name) != names.end())
            continue;
        names.push_back(std::move(name));
    }
    report.more_notes = names.size() > most_names;
    if (report.more_notes)
        names = {names.front(), names.back()};
    report.notes = std::move(names);
}

/// The worst grade of the tongue there, had this player two strokes.
std::optional<Grade> with_double_tongue(const Performed& p, const Spot& spot)
{
    if (p.settings.kit.double_tongue)
        return {};
    Kit kit = p.settings.kit;
    kit.level = p.settings.player;
    kit.double_tongue = true;
    const auto notes = timed_notes(p.line, p.instrument().transposition, p.settings.tempo_scale);
    const auto here = std::span(notes).subspan(spot.from, spot.to - spot.from + 1);
    Grade grade = Grade::easy;
    for (const TongueRun& run : tongue_runs(here, kit, p.instrument().tongue_factor))
        grade = worst(grade, run.grade);
    return grade;
}

/// The same trill on an instrument with an articulated C-sharp/G-sharp, where that key is in play.
std::optional<Grade> with_articulated_key(const Performed& p, const Spot& spot)
{
    constexpr std::array key_notes{61, 80}; // written C♯4, G♯5
    if (p.settings.kit.articulated_c_sharp)
        return {};
    int low = p.written(spot.from), high = low;
    for (std::size_t i = spot.from; i <= spot.to; ++i) {
        low = std::min(low, p.written(i));
        high = std::max(high, p.written(i));
    }
    if (std::none_of(key_notes.begin(), key_notes.end(), [&](int n) { return n == low || n == high; }))
        return {};
    Kit kit = p.settings.kit;
    kit.articulated_c_sharp = true;
    TrillBook book(p.instrument(), kit);
    const auto& ways = book.ways({low}, high - low);
    if (ways.empty())
        return {};
    return harder(ways.front().grade, -int(kit.reading));
}

/// What one more item of the kit would make of a spot; empty: nothing milder.
std::string other_kit(const Performed& p, const Spot& spot)
{
    std::optional<Grade> milder;
    const char* item = "";
    switch (spot.cause) {
    case Cause::little_finger:
        milder = spot.with_lever;
        item = "a left A-flat/E-flat lever";
        break;
    case Cause::tongue:
        milder = with_double_tongue(p, spot);
        item = "double tonguing";
        break;
    case Cause::breath:
        if (!p.settings.kit.circular_breathing)
            milder = Grade::easy;
        item = "circular breathing";
        break;
    case Cause::range: {
        const FamilyMember* longer = p.instrument().name == "bass" ? member_named("low-C bass") : nullptr;
        if (longer != nullptr && !p.settings.kit.low_c_bass && p.note(spot.from).written >= longer->lowest &&
            p.note(spot.from).written < p.instrument().lowest)
            milder = Grade::easy;
        item = "the keys to low C";
        break;
    }
    case Cause::trill:
        milder = with_articulated_key(p, spot);
        item = "an articulated C-sharp/G-sharp key";
        break;
    default:
        return "";
    }
    return milder && *milder < spot.grade ? fmt::format("with {} it is {}", item, word(*milder)) : "";
}

SpotReport told(const JudgedPart& part, const JudgedPart::Stretch& stretch, const Spot& spot)
{
    const Performed p = part.performed(stretch);
    const Line& whole = part.played().line;
    const Note &first = p.printed(spot.from), &last = p.printed(spot.to);
    SpotReport report;
    report.cause = spot.cause;
    report.grade = spot.grade;
    report.at = place_of(whole, first.source, last.source);
    report.until = place_of(whole, last.source);
    report.start_s = stretch.played->offset_s + p.note(spot.from).start_s;
    report.end_s = stretch.played->offset_s + p.note(spot.to).end_s;
    const TempoMap tempo(whole.tempo, part.settings().tempo_scale);
    report.start_quarter = tempo.quarter_at(report.start_s);
    report.end_quarter = tempo.quarter_at(report.end_s);
    report.instrument = p.instrument().name;
    name_notes(report, p, spot);
    report.sentence = sentence(p, spot);
    if (spot.safe_at > 0.0 && spot.safe_at < 1.0) {
        report.marked_tempo = tempo.tempo_at(report.start_quarter);
        report.safe_tempo = spot.safe_at * *report.marked_tempo;
    }
    report.heard = spot.heard;
    report.ideal = spot.ideal;
    for (const std::size_t i : spot.again)
        report.again.push_back(place_of(whole, p.printed(i).source,
                                        p.printed(std::min(i + spot.to - spot.from, p.size() - 1)).source));
    report.kit = other_kit(p, spot);
    report.for_player = player_words(p, spot);
    if (spot.cause == Cause::breath) {
        for (const Breath& breath : p.part.breaths.breaths) // what this player does
            if (breath.after >= spot.from && breath.after < spot.to)
                report.breathe_after.push_back(p.printed(breath.after).source.id);
        for (const AirSpan& span : p.part.breaths.spans)
            if (report.breathe_after.empty() && span.from == spot.from && span.break_after != AirSpan::none)
                report.breathe_after.push_back(p.printed(span.break_after).source.id);
    }
    if (spot.cause == Cause::little_finger)
        for (const std::size_t i : {spot.from, spot.to})
            if (const std::string hand = little_finger_hand(p, i); !hand.empty())
                report.hands.emplace_back(p.printed(i).source.id, hand);
    return report;
}

/// Changes of instrument with too little time, and soft starts right after one.
void tell_changes(const JudgedPart& part, std::vector<SpotReport>& spots)
{
    const Line& line = part.played().line;
    const TempoMap tempo(line.tempo, part.settings().tempo_scale);
    for (const InstrumentChange& change : part.played().casting.changes) {
        const bool soft_start = dynamic_at(line.dynamics, change.quarter) <= soft && !line.dynamics.empty();
        Grade grade = change.seconds < beyond_anyone_s               ? Grade::unplayable
                      : change.seconds < change.wanted.risky_below_s ? Grade::risky
                      : change.seconds < change.wanted.safe_from_s   ? Grade::awkward
                                                                     : Grade::easy;
        if (grade == Grade::easy && !soft_start)
            continue;
        SpotReport report;
        report.cause = Cause::change;
        report.grade = worst(grade, Grade::awkward);
        report.at = report.until = place_of(line, change.source);
        report.start_quarter = report.end_quarter = change.quarter;
        report.start_s = report.end_s = tempo.seconds_at(change.quarter);
        report.sentence = fmt::format("From {} to {} in {:.1f} s; {:.0f} s are safe{}", change.from,
                                      change.to, std::max(0.0, change.seconds), change.wanted.safe_from_s,
                                      change.wanted.shared_mouthpiece_s > 0.0
                                          ? ", and 3 to 5 s more if one mouthpiece serves both"
                                          : "");
        if (soft_start)
            report.sentence += "; the first notes are soft, and the instrument is cold and flat";
        report.for_player = "take " + change.to;
        spots.push_back(std::move(report));
    }
}

/// What the player has to read: a line printed at concert pitch is written out for the instrument first.
void tell_reading(const JudgedPart& part, std::vector<SpotReport>& spots)
{
    const Line& line = part.played().line;
    const FamilyMember* printed = part.played().casting.stretches.front().printed;
    if (part.settings().kit.reading != Reading::sight || printed == nullptr)
        return;
    const bool concert = line.part_id != "phrase" && !line.written_known && printed->transposition != 0;
    const Line written = concert ? transpose_line(line, printed->transposition) : line;
    const TempoMap tempo(line.tempo, part.settings().tempo_scale);
    for (const ReadingFinding& finding : hard_to_read(written)) {
        const Note &first = line.notes[finding.from], &last = line.notes[finding.to];
        SpotReport report;
        report.cause = Cause::reading;
        report.grade = finding.grade;
        report.at = place_of(line, first.source, last.source);
        report.until = place_of(line, last.source);
        report.start_quarter = first.start_quarter;
        report.end_quarter = last.start_quarter + last.length_quarters;
        report.start_s = tempo.seconds_at(report.start_quarter);
        report.end_s = tempo.seconds_at(report.end_quarter);
        report.sentence = finding.detail;
        spots.push_back(std::move(report));
    }
}

} // namespace

std::string SpotReport::key(const SpotPlace& place) const
{
    std::string text = fmt::format("{} | bar {} beat {:.4g} |", word(cause), place.bar, place.beat);
    for (const auto& [written, sounding] : notes)
        text += ' ' + written;
    return assumed.empty() ? text : text + " | if " + assumed;
}

std::size_t PartReport::count(Grade grade) const
{
    return std::size_t(
        std::count_if(spots.begin(), spots.end(), [&](const SpotReport& s) { return s.grade == grade; }));
}

bool PartReport::playable() const
{
    return std::none_of(spots.begin(), spots.end(), [](const SpotReport& s) {
        return s.grade == Grade::unplayable && s.assumed.empty();
    });
}

double trouble(const std::vector<SpotReport>& spots)
{
    double sum = 0.0;
    for (const SpotReport& spot : spots)
        sum += weight(spot.grade) * (1.0 + std::log2(double(spot.again.size() + 1)));
    return sum;
}

PartReport report_of(const JudgedPart& part)
{
    PartReport report;
    const Line& line = part.played().line;
    report.part_id = line.part_id;
    report.part_name = line.part_name;
    report.instrument = part.stretches().front().played->book->chart().instrument().title;
    report.remarks = part.played().casting.remarks;
    report.remarks.insert(report.remarks.end(), line.remarks.begin(), line.remarks.end());
    std::set<int> bars, rough;
    for (const Note& note : line.notes)
        bars.insert(note.source.bar_index);
    for (const JudgedPart::Stretch& stretch : part.stretches())
        for (const Spot& spot : stretch.spots)
            report.spots.push_back(told(part, stretch, spot));
    tell_changes(part, report.spots);
    tell_reading(part, report.spots);
    std::stable_sort(report.spots.begin(), report.spots.end(), [](const SpotReport& a, const SpotReport& b) {
        return a.start_s != b.start_s ? a.start_s < b.start_s : a.grade > b.grade;
    });
    for (const SpotReport& spot : report.spots) {
        const bool of_all = spot.cause == Cause::reading || spot.cause == Cause::endurance;
        for (int bar = spot.at.bar_index; bar <= (of_all ? spot.at : spot.until).bar_index; ++bar)
            rough.insert(bar);
        for (const SpotPlace& place : spot.again)
            rough.insert(place.bar_index);
    }
    report.bars = bars.size();
    report.easy_bars =
        std::size_t(std::count_if(bars.begin(), bars.end(), [&](int bar) { return !rough.contains(bar); }));
    return report;
}

} // namespace canebrake
