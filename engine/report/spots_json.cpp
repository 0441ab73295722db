// SPDX-License-Identifier: MIT
#include "engine/report/spots_json.h"

#include "engine/report/values.h"
#include "engine/telling/names.h"

#include <nlohmann/json.hpp>

namespace canebrake
{
namespace
{

using Json = nlohmann::ordered_json;

Json place(const SpotPlace& at)
{
    return {{"bar", at.bar},
            {"beat", rounded(at.beat, 1e4)},
            {"rehearsal_mark", text_or_null(at.rehearsal)},
            {"source", text_or_null(at.source)}};
}

Json spot_json(const SpotReport& spot)
{
    Json notes = Json::array(), again = Json::array();
    for (const auto& [written, sounding] : spot.notes)
        notes.push_back({{"written", written}, {"sounding", sounding}});
    for (const SpotPlace& at : spot.again)
        again.push_back(place(at));
    const bool listened = !heard_in_words(spot.heard).empty();
    return {{"number", spot.number},
            {"cause", word(spot.cause)},
            {"grade", word(spot.grade)},
            {"from", place(spot.at)},
            {"to", place(spot.until)},
            {"start_s", rounded(spot.start_s, 1e3)},
            {"end_s", rounded(spot.end_s, 1e3)},
            {"instrument", text_or_null(spot.instrument)},
            {"notes", notes},
            {"first_and_last_only", spot.more_notes},
            {"sentence", spot.sentence},
            {"easy_up_to_quarter_tempo", number_or_null(spot.safe_tempo)},
            {"marked_quarter_tempo", number_or_null(spot.marked_tempo)},
            {"heard", listened ? heard_json(spot.heard) : Json()},
            {"heard_ideal", spot.ideal && listened ? heard_json(*spot.ideal) : Json()},
            {"times", spot.again.size() + 1},
            {"again", again},
            {"if", text_or_null(spot.assumed)},
            {"other_kit", text_or_null(spot.kit)},
            {"in_the_score", text_or_null(spot.exposure)},
            {"exposure_weight", spot.weight},
            {"new", spot.fresh}};
}

} // namespace

std::string spots_json(const SpotsReport& report, const LineRequest& request, Grade least)
{
    const Reading reading = request.settings.kit.reading;
    Json parts = Json::array();
    for (const PartReport& part : report.parts) {
        Json spots = Json::array();
        for (const SpotReport& spot : part.spots)
            if (spot.grade >= least)
                spots.push_back(spot_json(spot));
        parts.push_back({{"part_id", part.part_id},
                         {"part_name", part.part_name},
                         {"instrument", part.instrument},
                         {"playable", part.playable()},
                         {"awkward", part.count(Grade::awkward)},
                         {"risky", part.count(Grade::risky)},
                         {"unplayable", part.count(Grade::unplayable)},
                         {"bars_with_notes", part.bars},
                         {"easy_bars", part.easy_bars},
                         {"waived", part.waived},
                         {"best_suited", text_or_null(part.best_suited)},
                         {"best_suited_because", text_or_null(part.best_suited_words)},
                         {"assumed", part.assumptions},
                         {"remarks", part.remarks},
                         {"spots", spots}});
    }
    const Json json{{"schema", "canebrake-spots"},
                    {"version", 1},
                    {"line",
                     {{"file", request.phrase ? Json() : Json(request.line.string())},
                      {"phrase", request.phrase ? Json(*request.phrase) : Json()}}},
                    {"player", player_name(request.settings.player)},
                    {"reading", reading == Reading::prepared    ? "prepared"
                                : reading == Reading::rehearsed ? "rehearsed"
                                                                : "sight"},
                    {"parts", parts},
                    {"chairs", report.chairs},
                    {"not_judged", report.not_judged}};
    return json.dump(1, ' ', false, Json::error_handler_t::replace) + '\n';
}

} // namespace canebrake
