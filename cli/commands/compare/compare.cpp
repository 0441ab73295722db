// SPDX-License-Identifier: MIT
#include "cli/commands/compare/compare.h"

#include "cli/audio/audio_file.h"
#include "cli/commands/compare/text.h"
#include "cli/options/opened.h"
#include "cli/options/option_values.h"
#include "cli/page/compare_page.h"
#include "cli/terminal/watching.h"
#include "engine/comparison/lines.h"
#include "engine/comparison/tones.h"
#include "engine/report/compare_csv.h"
#include "engine/report/compare_json.h"
#include "engine/storage/whole_file.h"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <memory>
#include <ostream>

namespace canebrake
{
namespace
{

std::string text_of(const nlohmann::ordered_json& json)
{
    return json.dump(1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + '\n';
}

/// The tones of each side strung together, as compare_json places their clips.
std::string page_of(const TonesReport& report)
{
    std::vector<PackedSound> sounds;
    for (const ToneSide& side : report.sides) {
        std::vector<float> audio;
        for (const ToneNote& note : side.map.notes)
            for (const ToneCell& cell : note.cells)
                audio.insert(audio.end(), cell.audio.begin(), cell.audio.end());
        sounds.push_back(packed_sound(audio, report.request.settings.rate));
    }
    return compare_page(compare_json(report, true), sounds);
}

std::string page_of(const LinesReport& report)
{
    std::vector<PackedSound> sounds;
    for (const LineSide& side : report.sides)
        sounds.push_back(packed_sound(side.audio.samples, side.audio.rate));
    return compare_page(compare_json(report), sounds);
}

/// What one destination holds, by its ending.
template <class Report> std::string content(const Report& report, const std::filesystem::path& destination)
{
    return ending_of(destination) == ".csv"    ? compare_csv(report)
           : ending_of(destination) == ".html" ? page_of(report)
                                               : text_of(compare_json(report));
}

/// The work, with its progress on the console until it is done.
template <class Work> auto watched(const Console& console, Work work)
{
    Watching watching(console);
    return work(watching.watch());
}

std::vector<Recording> recordings_of(const CompareRequest& request, const Watch& watch)
{
    std::vector<Recording> all;
    for (const auto& path : request.recordings) {
        watch.check();
        all.push_back({path.stem().string(), path.string(), read_audio(path)});
    }
    return all;
}

template <class Report>
void write(const Report& report, const CompareRequest& request,
           const std::vector<std::unique_ptr<WholeFile>>& files, const Console& console)
{
    for (std::size_t i = 0; i < files.size(); ++i) {
        files[i]->write(content(report, request.destinations[i]));
        files[i]->flush();
    }
    for (const auto& file : files)
        file->finish();
    for (const auto& path : request.destinations)
        if (!request.json)
            console.out << path.string() << '\n';
    if (request.json)
        console.out << text_of(compare_json(report));
    else if (files.empty())
        console.out << compare_text(report);
    console.out << std::flush;
}

} // namespace

void compare(const CompareRequest& request, const Console& console)
{
    // Destinations are opened before the work and renamed when all of them are complete.
    std::vector<std::unique_ptr<WholeFile>> files;
    for (const auto& path : request.destinations)
        files.push_back(std::make_unique<WholeFile>(path));
    const bool page = std::any_of(request.destinations.begin(), request.destinations.end(),
                                  [](const auto& path) { return ending_of(path) == ".html"; });
    switch (request.kind) {
    case CompareRequest::Kind::tones:
        return write(
            watched(console, [&](const Watch& watch) { return compare_tones(request, page, watch); }),
            request, files, console);
    case CompareRequest::Kind::line:
        return write(
            watched(console, [&](const Watch& watch) { return opened(request).compare(request, watch); }),
            request, files, console);
    case CompareRequest::Kind::recordings:
        return write(watched(console,
                             [&](const Watch& watch) {
                                 return compare_recordings(recordings_of(request, watch), request, watch);
                             }),
                     request, files, console);
    }
}

} // namespace canebrake
