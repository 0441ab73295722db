// SPDX-License-Identifier: MIT
#include "cli/commands/compare.h"

#include "cli/commands/compare_lines.h"
#include "cli/commands/compare_report.h"
#include "cli/commands/compare_tones.h"
#include "cli/commands/whole_file.h"
#include "cli/page/compare_page.h"

#include <algorithm>
#include <memory>
#include <ostream>

namespace canebrake
{
namespace
{

bool ends_in(const std::filesystem::path& path, std::string_view ending)
{
    std::string found = path.extension().string();
    std::transform(found.begin(), found.end(), found.begin(),
                   [](unsigned char c) { return char(std::tolower(c)); });
    return found == ending;
}

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
    return ends_in(destination, ".csv")    ? compare_csv(report)
           : ends_in(destination, ".html") ? page_of(report)
                                           : text_of(compare_json(report));
}

template <class Report>
void write(const Report& report, const std::vector<std::unique_ptr<WholeFile>>& files, const Console& console)
{
    const CompareRequest& request = report.request;
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
                                  [](const auto& path) { return ends_in(path, ".html"); });
    switch (request.kind) {
    case CompareRequest::Kind::tones:
        return write(compare_tones(request, page, console), files, console);
    case CompareRequest::Kind::line:
        return write(compare_lines(request, console), files, console);
    case CompareRequest::Kind::recordings:
        return write(compare_recordings(request, console), files, console);
    }
}

} // namespace canebrake
