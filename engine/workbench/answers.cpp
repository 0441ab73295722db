// SPDX-License-Identifier: MIT
#include "engine/workbench/answers.h"

#include "engine/report/values.h"

#include <fmt/format.h>

namespace canebrake
{
namespace
{

using Json = nlohmann::ordered_json;

std::string text_of(const Json& json)
{
    return json.dump(1, ' ', false, Json::error_handler_t::replace) + '\n';
}

Json counts_json(const GradeCounts& counts)
{
    return {{"awkward", counts[0]}, {"risky", counts[1]}, {"unplayable", counts[2]}};
}

} // namespace

std::string parts_json(const Bench& bench)
{
    Json parts = Json::array();
    for (const PartListing& part : bench.parts())
        parts.push_back({{"id", part.id},
                         {"name", part.name},
                         {"instrument", text_or_null(part.instrument)},
                         {"for_clarinet", part.for_clarinet},
                         {"notes", part.notes},
                         {"bars", part.bars}});
    return text_of({{"schema", "canebrake-parts"},
                    {"version", 1},
                    {"title", bench.score().title.empty() ? bench.title() : bench.score().title},
                    {"parts", std::move(parts)},
                    {"remarks", bench.score().remarks}});
}

std::string taken_json(const TakenRemedies& taken, const std::vector<RemedyNumber>& numbers,
                       const std::vector<std::string>& remarks)
{
    Json all = Json::array();
    for (std::size_t i = 0; i < numbers.size(); ++i)
        all.push_back({{"number", fmt::format("{}.{}", numbers[i].spot, numbers[i].remedy)},
                       {"what", taken.what().at(i)}});
    return text_of({{"schema", "canebrake-taken"},
                    {"version", 1},
                    {"taken", std::move(all)},
                    {"before", counts_json(taken.before())},
                    {"after", counts_json(taken.after())},
                    {"remarks", remarks}});
}

std::string sound_json(const Sounding& sound)
{
    return text_of({{"schema", "canebrake-sound"},
                    {"version", 1},
                    {"rate", sound.rate()},
                    {"samples", sound.total_samples()},
                    {"duration_s", rounded(sound.duration_s(), 1e6)},
                    {"notes", sound.notes()},
                    {"silent_notes", sound.silent_notes()},
                    {"instruments", sound.instruments()},
                    {"remarks", sound.remarks()}});
}

} // namespace canebrake
