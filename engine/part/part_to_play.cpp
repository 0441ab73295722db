// SPDX-License-Identifier: MIT
#include "engine/part/part_to_play.h"

#include "engine/plan/pace.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>

namespace canebrake
{
namespace
{

/// The first tempo becomes `quarters_per_minute`; the others keep their relation to it.
void set_first_tempo(Line& line, double quarters_per_minute)
{
    if (line.tempo.empty())
        line.tempo.push_back({});
    const double scale = quarters_per_minute / line.tempo.front().quarters_per_minute;
    for (TempoPoint& point : line.tempo)
        point.quarters_per_minute *= scale;
}

/// Notes for another instrument go; nothing is slurred into them.
void leave_out_others(Line& line, const Casting& casting)
{
    std::vector<Note> kept;
    for (const Note& note : line.notes) {
        if (casting.at(note.start_quarter).printed != nullptr)
            kept.push_back(note);
        else if (!kept.empty())
            kept.back().slurred_to_next = false;
    }
    line.notes = std::move(kept);
}

} // namespace

TrillBook& TrillBooks::of(const std::string& instrument)
{
    const auto found = books_.find(instrument);
    return found != books_.end()
               ? found->second
               : books_.try_emplace(instrument, instrument_named(instrument), kit_).first->second;
}

PartToPlay part_to_play(Line chosen, const LineRequest& request, TrillBooks& books)
{
    PartToPlay part;
    Line& line = part.line;
    line = std::move(chosen);
    if (request.bars) {
        line = cut_to_bars(line, request.bars->first, request.bars->second);
        if (line.notes.empty())
            throw InputError(fmt::format("bars {} to {}: found only rests, wanted bars with notes",
                                         request.bars->first, request.bars->second),
                             Fault::usage);
    }
    // The tempo first: grace notes and trills are as quick as fingers are, at any tempo. Then the grace
    // notes: a trilled note gives them time out of the whole of it, and trills for what is left.
    if (request.tempo)
        set_first_tempo(line, *request.tempo);
    part.casting = cast(line, request.instrument, request.on);
    if (request.settings.kit.low_c_bass)
        for (Casting::Stretch& stretch : part.casting.stretches)
            if (stretch.played_on == "bass")
                stretch.played_on = "low-C bass";
    set_pitch_basis(line, request.pitch, [&](double quarter) {
        const FamilyMember* printed = part.casting.at(quarter).printed;
        return printed != nullptr ? printed->transposition : 0;
    });
    leave_out_others(line, part.casting);
    if (line.notes.empty())
        throw InputError("found no notes for a clarinet in the part, wanted some", Fault::usage);

    const TempoMap tempo(line.tempo, request.settings.tempo_scale);
    std::size_t first = 0;
    const auto on = [&](std::size_t note) -> const std::string& {
        return part.casting.at(line.notes[note].start_quarter).played_on;
    };
    for (std::size_t i = 1; i <= line.notes.size(); ++i) {
        if (i < line.notes.size() && on(i) == on(first))
            continue;
        const double from = first == 0 ? 0.0 : line.notes[first].start_quarter;
        const double to = i < line.notes.size()
                              ? line.notes[i].start_quarter
                              : std::max(line.end_quarter, line.notes.back().start_quarter + 1e-6);
        TrillBook& book = books.of(on(first));
        Line piece = cut_to_quarters(line, from, to);
        if (i < line.notes.size() && !piece.notes.empty())
            piece.notes.back().slurred_to_next = false;
        place_grace_notes(piece);
        write_out_ornaments(piece, pace_of(book, request.settings.kit));
        part.stretches.push_back({&book, std::move(piece), tempo.seconds_at(from)});
        first = i;
    }
    return part;
}

} // namespace canebrake
