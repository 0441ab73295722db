// SPDX-License-Identifier: MIT
#include "cli/commands/render.h"

#include "cli/commands/events.h"
#include "cli/commands/progress.h"
#include "cli/commands/whole_file.h"
#include "engine/listening/note_meter.h"
#include "engine/performance/sequence.h"
#include "engine/plan/pace.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <ostream>

namespace canebrake
{
namespace
{

constexpr std::size_t block_samples = 4096;
constexpr double longest_hours = 12.0; // a damaged file can ask for years
constexpr std::size_t most_remarks = 10;

/// The first tempo becomes `quarters_per_minute`; the others keep their relation to it.
void set_first_tempo(Line& line, double quarters_per_minute)
{
    if (line.tempo.empty())
        line.tempo.push_back({});
    const double scale = quarters_per_minute / line.tempo.front().quarters_per_minute;
    for (TempoPoint& point : line.tempo)
        point.quarters_per_minute *= scale;
}

std::size_t notes_in(const Sequence& sequence, bool silent)
{
    std::size_t count = 0;
    for (const Sequence::Piece& piece : sequence.pieces())
        for (const PlannedNote& note : piece.rendering.notes())
            count += note.silent == silent;
    return count;
}

std::vector<std::string> warnings(const Sequence& sequence)
{
    std::vector<std::string> all;
    for (const Sequence::Piece& piece : sequence.pieces())
        all.insert(all.end(), piece.rendering.remarks().begin(), piece.rendering.remarks().end());
    return all;
}

void refuse_silent_notes(const Sequence& sequence)
{
    const std::size_t silent = notes_in(sequence, true);
    if (silent == 0)
        return;
    const std::vector<std::string> said = warnings(sequence);
    std::string text = said.empty() ? "" : ": " + said.front();
    text = text.substr(0, text.rfind("; left silent")); // here it is not
    if (silent > 1)
        text += fmt::format(" (and {} more)", silent - 1);
    throw InputError("found notes off the instrument, wanted none (--strict)" + text, Fault::off_range);
}

void say_remarks(const PartToPlay& part, const Sequence& sequence, const Console& console)
{
    std::vector<std::string> all;
    for (const std::string& remark : part.casting.remarks) // first: on what it is played
        all.push_back("remark: " + remark);
    for (const std::string& remark : warnings(sequence)) // then: these notes cannot be heard
        all.push_back("warning: " + remark);
    for (const std::string& remark : part.line.remarks)
        all.push_back("remark: " + remark);
    for (std::size_t i = 0; i < std::min(all.size(), most_remarks); ++i)
        console.err << "canebrake: " << all[i] << '\n';
    if (all.size() > most_remarks)
        console.err << "canebrake: and " << all.size() - most_remarks << " more\n";
    console.err << std::flush;
}

/// What is to be listened to: the notes that sound.
std::vector<ToldNote> told_notes(const Sequence& sequence)
{
    std::vector<ToldNote> told;
    for (const Sequence::Piece& piece : sequence.pieces()) {
        const auto& notes = piece.rendering.notes();
        for (std::size_t i = 0; i < notes.size(); ++i) {
            if (notes[i].silent)
                continue;
            const double start_s = piece.offset_s + notes[i].start_s;
            if (!told.empty())
                told.back().end_s = std::min(told.back().end_s, start_s);
            told.push_back({start_s,
                            piece.offset_s + std::min(notes[i].end_s, piece.rendering.sounding_end(i)),
                            notes[i].target_hz});
        }
    }
    return told;
}

/// Fetches the whole sound, block by block, into the writer and, if there is one, the meter.
void play(Sequence& sequence, double rate, WavWriter& writer, NoteMeter* meter, const Console& console)
{
    Progress progress(console.err, console.columns);
    std::array<float, block_samples> block{};
    const std::uint64_t total = sequence.total_samples();
    for (std::uint64_t done = 0; done < total;) {
        if (console.stop != nullptr && *console.stop)
            throw BrokenOff{};
        const auto wanted = std::size_t(std::min<std::uint64_t>(block.size(), total - done));
        const std::size_t got = std::min(wanted, sequence.process(std::span(block).first(wanted)));
        if (got == 0)
            break;
        writer.write(std::span(block).first(got));
        if (meter != nullptr)
            meter->push(std::span(block).first(got));
        done += got;
        progress.show(double(done) / rate, double(total) / rate);
    }
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

/// The instruments in use, one after the other.
std::string titles(const Sequence& sequence)
{
    std::string text;
    for (const Sequence::Piece& piece : sequence.pieces())
        if (text.find(piece.instrument->title) == std::string::npos)
            text += (text.empty() ? "" : " and ") + piece.instrument->title;
    return text;
}

} // namespace

TrillBook& TrillBooks::of(const std::string& instrument)
{
    const auto found = books_.find(instrument);
    return found != books_.end()
               ? found->second
               : books_.try_emplace(instrument, instrument_named(instrument), kit_).first->second;
}

Score score_asked_for(const LineRequest& request)
{
    return request.phrase ? read_phrase(*request.phrase) : read_score(request.line);
}

PartToPlay part_to_play(const LineRequest& request, TrillBooks& books)
{
    return part_to_play(choose_part(score_asked_for(request), request.part), request, books);
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

void render(const RenderRequest& request, const Console& console)
{
    TrillBooks books(request.settings.kit);
    PartToPlay part = part_to_play(request, books);
    const double hours = TempoMap(part.line.tempo).seconds_at(part.line.end_quarter) / 3600.0;
    if (!(hours <= longest_hours))
        throw InputError(fmt::format("found a line of {:.0f} hours, wanted at most {:.0f}: take some --bars",
                                     hours, longest_hours),
                         Fault::usage);

    Sequence sequence(request.settings);
    for (PartToPlay::Stretch& stretch : part.stretches)
        sequence.add(*stretch.book, std::move(stretch.line), stretch.offset_s);
    if (request.strict)
        refuse_silent_notes(sequence);
    // Both destinations are opened before the work begins and renamed into place after both are complete.
    WavWriter writer(request.destination, request.settings.rate, request.format);
    std::optional<WholeFile> events;
    std::optional<NoteMeter> meter;
    if (request.events) {
        events.emplace(*request.events);
        meter.emplace(told_notes(sequence), request.settings.rate);
    }
    say_remarks(part, sequence, console);
    play(sequence, request.settings.rate.value, writer, meter ? &*meter : nullptr, console);
    if (events) {
        write_events({request, part.line, part.casting, sequence, meter->finish()}, *events);
        events->flush();
    }
    writer.finish();
    if (events)
        events->finish();

    const std::size_t silent = notes_in(sequence, true), sounding = notes_in(sequence, false);
    console.out << fmt::format("{}: {:.1f} s, {} note{}{}, {}, {}\n", request.destination.string(),
                               sequence.duration_s(), sounding, sounding == 1 ? "" : "s",
                               silent > 0 ? fmt::format(" ({} more silent)", silent) : "", titles(sequence),
                               player_name(request.settings.player))
                << std::flush;
}

} // namespace canebrake
