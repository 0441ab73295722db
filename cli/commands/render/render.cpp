// SPDX-License-Identifier: MIT
#include "cli/commands/render/render.h"

#include "cli/options/opened.h"
#include "cli/terminal/progress.h"
#include "engine/part/watch.h"
#include "engine/storage/whole_file.h"
#include "engine/telling/names.h"
#include "engine/workbench/sounding.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <ostream>

namespace canebrake
{
namespace
{

constexpr std::size_t block_samples = 4096;
constexpr std::size_t most_remarks = 10;

const char* bits_of(SampleFormat format)
{
    return format == SampleFormat::pcm16 ? "16" : format == SampleFormat::pcm24 ? "24" : "float";
}

void say_remarks(const Sounding& sound, const Console& console)
{
    const std::vector<std::string> all = sound.remarks();
    for (std::size_t i = 0; i < std::min(all.size(), most_remarks); ++i)
        console.err << "canebrake: " << all[i] << '\n';
    if (all.size() > most_remarks)
        console.err << "canebrake: and " << all.size() - most_remarks << " more\n";
    console.err << std::flush;
}

/// Fetches the whole sound, block by block.
void play(Sounding& sound, WavWriter& writer, const Console& console)
{
    Progress progress(console.err, console.columns);
    std::array<float, block_samples> block{};
    while (const std::size_t got = sound.process(block)) {
        if (console.stop != nullptr && *console.stop)
            throw BrokenOff{};
        writer.write(std::span<const float>(block).first(got));
        progress.show(double(sound.position()) / sound.rate(), sound.duration_s());
    }
}

} // namespace

void render(const RenderRequest& request, const Console& console)
{
    Sounding sound(opened(request), request);
    if (request.strict)
        sound.refuse_silent_notes();
    // Both destinations are opened before the work begins and renamed into place after both are complete.
    WavWriter writer(request.destination, request.settings.rate, request.format);
    std::optional<WholeFile> events;
    if (request.events) {
        events.emplace(*request.events);
        sound.measure();
    }
    say_remarks(sound, console);
    play(sound, writer, console);
    if (events) {
        sound.write_events(request.destination.string(), bits_of(request.format),
                           [&](std::string_view text) { events->write(text); });
        events->flush();
    }
    writer.finish();
    if (events)
        events->finish();

    const std::size_t silent = sound.silent_notes(), sounding = sound.notes();
    console.out << fmt::format("{}: {:.1f} s, {} note{}{}, {}, {}\n", request.destination.string(),
                               sound.duration_s(), sounding, sounding == 1 ? "" : "s",
                               silent > 0 ? fmt::format(" ({} more silent)", silent) : "",
                               sound.instruments(), player_name(request.settings.player))
                << std::flush;
}

} // namespace canebrake
