// SPDX-License-Identifier: MIT
#include "engine/report/remedy_json.h"

#include "engine/report/values.h"
#include "engine/telling/names.h"

#include <nlohmann/json.hpp>

namespace canebrake
{
namespace
{

using Json = nlohmann::ordered_json;

Json heard(const Heard& h)
{
    return heard_in_words(h).empty() ? Json() : heard_json(h);
}

Json rate(const Figures& figures)
{
    return figures.pace ? Json(rounded(figures.pace->rate, 100.0)) : Json();
}

Json remedy_object(int spot, std::size_t index, const Remedy& remedy)
{
    Json passage;
    if (remedy.passage)
        passage = {{"from_quarter", rounded(remedy.passage->from, 1e4)},
                   {"to_quarter", rounded(remedy.passage->to, 1e4)},
                   {"rough_places_before", remedy.passage_before},
                   {"rough_places_after", remedy.passage_after}};
    return {{"number", std::to_string(spot) + '.' + std::to_string(index + 1)},
            {"kind", word(remedy.idea.kind)},
            {"what", remedy.idea.what},
            {"price", remedy.idea.price},
            {"grade_before", word(remedy.before.grade)},
            {"grade_after", word(remedy.after.grade)},
            {"left", remedy.left ? Json(word(*remedy.left)) : Json()},
            {"heard_before", heard(remedy.before.heard)},
            {"heard_after", heard(remedy.after.heard)},
            {"rate_before", rate(remedy.before)},
            {"rate_after", rate(remedy.after)},
            {"quarter_tempo", number_or_null(remedy.tempo)},
            {"instrument", remedy.idea.on.empty() ? Json() : Json(remedy.idea.on)},
            {"passage", passage},
            {"everywhere", remedy.everywhere},
            {"score", rounded(remedy.score, 100.0)}};
}

} // namespace

std::string remedy_json(const RemedyReport& report, const LineRequest& request)
{
    Json spots = Json::array();
    for (const ToldRemedies& one : report.all) {
        Json remedies = Json::array();
        for (std::size_t i = 0; i < one.found.remedies.size(); ++i)
            remedies.push_back(remedy_object(one.told.number, i, one.found.remedies[i]));
        spots.push_back({{"number", one.told.number},
                         {"cause", word(one.told.cause)},
                         {"grade", word(one.told.grade)},
                         {"bar", one.told.at.bar},
                         {"beat", rounded(one.told.at.beat, 1e4)},
                         {"sentence", one.told.sentence},
                         {"times", one.told.again.size() + 1},
                         {"changes_tried", one.found.tried},
                         {"heard", heard(one.told.heard)},
                         {"other_kit", one.told.kit.empty() ? Json() : Json(one.told.kit)},
                         {"remedies", remedies}});
    }
    const Reading reading = request.settings.kit.reading;
    const Json json{{"schema", "canebrake-remedy"},
                    {"version", 1},
                    {"line",
                     {{"file", request.phrase ? Json() : Json(request.line.string())},
                      {"phrase", request.phrase ? Json(*request.phrase) : Json()}}},
                    {"player", player_name(request.settings.player)},
                    {"reading", reading == Reading::prepared    ? "prepared"
                                : reading == Reading::rehearsed ? "rehearsed"
                                                                : "sight"},
                    {"part_name", report.part_name},
                    {"instrument", report.instrument},
                    {"spot_count", report.spots},
                    {"remarks", report.remarks},
                    {"spots", spots}};
    return json.dump(1, ' ', false, Json::error_handler_t::replace) + '\n';
}

} // namespace canebrake
