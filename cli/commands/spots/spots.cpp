// SPDX-License-Identifier: MIT
#include "cli/commands/spots/spots.h"

#include "cli/commands/spots/text.h"
#include "cli/commands/spots/waived_file.h"
#include "cli/options/opened.h"
#include "cli/options/option_values.h"
#include "cli/terminal/watching.h"
#include "engine/report/spots_json.h"
#include "engine/storage/whole_file.h"
#include "engine/workbench/marked_copy.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>
#include <ostream>
#include <set>

namespace canebrake
{
namespace
{

/// Adds the spots that the request names to the list beside the file.
void waive(const SpotsRequest& request, const SpotsReport& report, WaivedList& waived)
{
    for (const int wanted : request.waive)
        if (wanted > report.count)
            throw InputError(fmt::format("--waive: found {}, wanted numbers up to {}", wanted, report.count),
                             Fault::usage);
    for (const PartReport& part : report.parts) {
        std::set<int> numbers(request.waive.begin(), request.waive.end());
        for (const SpotReport& spot : part.spots)
            if (request.waive_all)
                numbers.insert(spot.number);
        waived.waive(part, numbers, request.reason);
    }
    write_waived(request.line, waived);
}

void write_copy(const Bench& bench, const SpotsReport& report, const SpotsRequest& request,
                const Console& console)
{
    std::vector<std::string> remarks;
    const bool packed = ending_of(*request.copy) == ".mxl";
    write_whole(*request.copy,
                marked_copy(bench, report, request, {request.least, request.for_player, packed}, remarks));
    say_remarks(console, remarks);
}

bool as_bad_as(const SpotsReport& report, Grade limit)
{
    for (const PartReport& part : report.parts)
        for (const SpotReport& spot : part.spots)
            if (spot.grade >= limit)
                return true;
    return false;
}

} // namespace

ExitCode spots(const SpotsRequest& request, const Console& console)
{
    const Watching watching(console);
    const Bench bench = opened(request);
    std::optional<WaivedList> waived;
    if (!request.phrase)
        waived.emplace(read_waived(request.line));
    SpotsReport report = bench.spots(request, watching.stop_only());
    if (!request.waive.empty() || request.waive_all)
        waive(request, report, *waived);
    if (waived)
        for (PartReport& part : report.parts)
            waived->apply(part);
    if (request.copy)
        write_copy(bench, report, request, console);
    console.out << (request.json ? spots_json(report, request, request.least) : spots_text(report, request))
                << std::flush;
    return request.fail_on && as_bad_as(report, *request.fail_on) ? ExitCode::spots_found : ExitCode::done;
}

} // namespace canebrake
