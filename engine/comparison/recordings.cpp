// SPDX-License-Identifier: MIT
#include "engine/comparison/lines.h"

#include "engine/comparison/match_notes.h"
#include "engine/note_finding/find_notes.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace canebrake
{
namespace
{

/// Recordings say nothing of their dynamics and instrument: nobody is called thin, or late.
constexpr double unknown_level = 0.0, never_late_ms = std::numeric_limits<double>::infinity();

ComparedNote measured(const FoundNote& found, const Audio& audio, Hertz a4)
{
    ComparedNote note;
    note.start_s = found.start_s;
    note.end_s = found.end_s;
    note.sounding = std::round(69.0 + 12.0 * std::log2(found.hz / a4.value));
    note.sounding_name = pitch_name(int(note.sounding));
    note.heard = measure_tone(between(audio, found.start_s, found.end_s), audio.rate,
                              frequency({note.sounding}, a4).value);
    note.traits = traits_of(note.heard, unknown_level, never_late_ms);
    return note;
}

using Row = std::vector<std::optional<std::size_t>>;

/// The notes of one more recording into the rows there are: those without a partner in the first stand where
/// they were heard.
void weave(std::vector<Row>& rows, const NoteMatch& match, std::size_t side, std::size_t sides)
{
    std::size_t at = 0; // row behind the last pair
    for (const NotePair& pair : match.pairs) {
        while (pair.first && rows[at][0] != pair.first)
            ++at;
        if (!pair.first)
            rows.emplace(rows.begin() + std::ptrdiff_t(at), sides);
        rows[at++][side] = pair.second;
    }
}

} // namespace

LinesReport compare_recordings(std::vector<Recording> recordings, const ComparisonRequest& request,
                               const Watch& watch)
{
    LinesReport report{request, {}, {}, {}};
    std::vector<std::vector<FoundNote>> found;
    for (Recording& recording : recordings) {
        watch.check();
        LineSide side;
        side.file = recording.file;
        side.name = recording.name;
        side.audio = std::move(recording.audio);
        side.duration_s = double(side.audio.samples.size()) / side.audio.rate.value;
        if (!(side.duration_s <= longest_compared_s))
            throw InputError(fmt::format("{}: found {:.0f} minutes, wanted at most {:.0f}", recording.file,
                                         side.duration_s / 60.0, longest_compared_s / 60.0),
                             Fault::usage);
        found.push_back(find_notes(side.audio.samples, side.audio.rate));
        if (found.back().empty())
            throw InputError(recording.file + ": found no notes, wanted a recording of one wind instrument",
                             Fault::unreadable);
        for (const FoundNote& note : found.back())
            side.notes.push_back(measured(note, side.audio, request.settings.a4));
        report.sides.push_back(std::move(side));
    }
    for (std::size_t note = 0; note < found[0].size(); ++note)
        report.rows.emplace_back(found.size()).front() = note;
    for (std::size_t side = 1; side < found.size(); ++side) {
        const NoteMatch match = match_notes(found[0], found[side]);
        if (std::abs(match.shift_cents) >= 5.0)
            report.remarks.push_back(fmt::format("{} lies {:+.0f} cents from {} as a whole",
                                                 report.sides[side].name, match.shift_cents,
                                                 report.sides[0].name));
        weave(report.rows, match, side, found.size());
    }
    return report;
}

} // namespace canebrake
