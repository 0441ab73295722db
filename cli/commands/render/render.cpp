// SPDX-License-Identifier: MIT
#include "cli/commands/render/render.h"

#include "cli/options/read_line.h"
#include "cli/terminal/progress.h"
#include "engine/listening/note_meter.h"
#include "engine/part/choose_part.h"
#include "engine/part/part_to_play.h"
#include "engine/part/watch.h"
#include "engine/plan/pace.h"
#include "engine/rendering/sequence.h"
#include "engine/report/events.h"
#include "engine/storage/whole_file.h"
#include "engine/telling/names.h"
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

void render(const RenderRequest& request, const Console& console)
{
    TrillBooks books(request.settings.kit);
    PartToPlay part = part_to_play(choose_part(read_line(request), request.part), request, books);
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
        const char* const bits = request.format == SampleFormat::pcm16   ? "16"
                                 : request.format == SampleFormat::pcm24 ? "24"
                                                                         : "float";
        write_events(
            {request, request.destination.string(), bits, part.line, part.casting, sequence, meter->finish()},
            [&](std::string_view text) { events->write(text); });
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
