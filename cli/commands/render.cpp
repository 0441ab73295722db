// SPDX-License-Identifier: MIT
#include "cli/commands/render.h"

#include "cli/commands/events.h"
#include "cli/commands/progress.h"
#include "cli/commands/whole_file.h"
#include "engine/listening/note_meter.h"
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

std::size_t silent_notes(const Rendering& rendering)
{
    const auto& notes = rendering.notes();
    return std::size_t(
        std::count_if(notes.begin(), notes.end(), [](const PlannedNote& note) { return note.silent; }));
}

void refuse_silent_notes(const Rendering& rendering)
{
    const std::size_t silent = silent_notes(rendering);
    if (silent == 0)
        return;
    std::string text = rendering.remarks().empty() ? "" : ": " + rendering.remarks().front();
    text = text.substr(0, text.rfind("; left silent")); // here it is not
    if (silent > 1)
        text += fmt::format(" (and {} more)", silent - 1);
    throw InputError("found notes off the instrument, wanted none (--strict)" + text, Fault::off_range);
}

void say_remarks(const Line& line, const Rendering& rendering, const Console& console)
{
    std::vector<std::string> all;
    for (const std::string& remark : rendering.remarks()) // first: these notes cannot be heard
        all.push_back("warning: " + remark);
    for (const std::string& remark : line.remarks)
        all.push_back("remark: " + remark);
    for (std::size_t i = 0; i < std::min(all.size(), most_remarks); ++i)
        console.err << "canebrake: " << all[i] << '\n';
    if (all.size() > most_remarks)
        console.err << "canebrake: and " << all.size() - most_remarks << " more\n";
    console.err << std::flush;
}

/// What is to be listened to: the notes that sound.
std::vector<ToldNote> told_notes(const Rendering& rendering)
{
    std::vector<ToldNote> told;
    for (const PlannedNote& note : rendering.notes()) {
        if (note.silent)
            continue;
        if (!told.empty())
            told.back().end_s = std::min(told.back().end_s, note.start_s);
        told.push_back({note.start_s, note.end_s, note.target_hz});
    }
    return told;
}

/// Fetches the whole sound, block by block, into the writer and, if there is one, the meter.
void play(Rendering& rendering, double rate, WavWriter& writer, NoteMeter* meter, const Console& console)
{
    Progress progress(console.err, console.columns);
    std::array<float, block_samples> block{};
    const std::uint64_t total = rendering.total_samples();
    for (std::uint64_t done = 0; done < total;) {
        if (console.stop != nullptr && *console.stop)
            throw BrokenOff{};
        const auto wanted = std::size_t(std::min<std::uint64_t>(block.size(), total - done));
        const std::size_t got = std::min(wanted, rendering.process(std::span(block).first(wanted)));
        if (got == 0)
            break;
        writer.write(std::span(block).first(got));
        if (meter != nullptr)
            meter->push(std::span(block).first(got));
        done += got;
        progress.show(double(done) / rate, double(total) / rate);
    }
}

} // namespace

Line line_to_play(const RenderRequest& request, TrillBook& book)
{
    const Score score = request.phrase ? read_phrase(*request.phrase) : read_score(request.line);
    Line line = choose_part(score, request.part);
    set_pitch_basis(line, request.pitch, book.chart().instrument().transposition);
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
    place_grace_notes(line);
    write_out_ornaments(line, pace_of(book, request.settings.kit));
    return line;
}

void render(const RenderRequest& request, const Console& console)
{
    const Instrument& instrument = instrument_named(request.instrument);
    TrillBook book(instrument, request.settings.kit);
    const Line line = line_to_play(request, book);
    const double hours = TempoMap(line.tempo).seconds_at(line.end_quarter) / 3600.0;
    if (!(hours <= longest_hours))
        throw InputError(fmt::format("found a line of {:.0f} hours, wanted at most {:.0f}: take some --bars",
                                     hours, longest_hours),
                         Fault::usage);

    Rendering rendering(book, line, request.settings);
    if (request.strict)
        refuse_silent_notes(rendering);
    // Both destinations are opened before the work begins and renamed into place after both are complete.
    WavWriter writer(request.destination, request.settings.rate, request.format);
    std::optional<WholeFile> events;
    std::optional<NoteMeter> meter;
    if (request.events) {
        events.emplace(*request.events);
        meter.emplace(told_notes(rendering), request.settings.rate);
    }
    say_remarks(line, rendering, console);
    play(rendering, request.settings.rate.value, writer, meter ? &*meter : nullptr, console);
    if (events) {
        write_events({request, instrument, line, rendering, meter->finish()}, *events);
        events->flush();
    }
    writer.finish();
    if (events)
        events->finish();

    const std::size_t silent = silent_notes(rendering), sounding = rendering.notes().size() - silent;
    console.out << fmt::format("{}: {:.1f} s, {} note{}{}, {}, {}\n", request.destination.string(),
                               rendering.duration_s(), sounding, sounding == 1 ? "" : "s",
                               silent > 0 ? fmt::format(" ({} more silent)", silent) : "", instrument.title,
                               player_name(request.settings.player))
                << std::flush;
}

} // namespace canebrake
