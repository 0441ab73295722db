// SPDX-License-Identifier: MIT
#include "engine/telling/waived.h"

#include "models/units/input_error.h"

#include <nlohmann/json.hpp>

namespace canebrake
{
namespace
{

using Json = nlohmann::ordered_json;

std::vector<SpotPlace> places_of(const SpotReport& spot)
{
    std::vector<SpotPlace> places{spot.at};
    places.insert(places.end(), spot.again.begin(), spot.again.end());
    return places;
}

std::string key_of(const PartReport& part, const SpotReport& spot, const SpotPlace& place)
{
    return part.part_id + ": " + spot.key(place);
}

} // namespace

WaivedList::WaivedList(std::string_view text, const std::string& name) : there_(true)
{
    const Json json = Json::parse(text, nullptr, false);
    const auto damaged = [&](const std::string& wanted) {
        throw InputError(name + ": found no list of waived spots, wanted " + wanted, Fault::unreadable);
    };
    if (!json.is_object() || !json.contains("schema") || json["schema"] != "canebrake-waived")
        damaged("JSON with the schema canebrake-waived; take the file away to begin anew");
    if (!json.contains("version") || json["version"] != 1)
        damaged("version 1 of it");
    for (const auto& [list, keys] : {std::pair{"waived", &waived_}, std::pair{"seen", &seen_}}) {
        if (!json.contains(list) || !json[list].is_array())
            damaged(std::string("a list named ") + list);
        for (const Json& key : json[list]) {
            if (!key.is_string())
                damaged(std::string("texts in ") + list);
            keys->insert(key.get<std::string>());
        }
    }
}

void WaivedList::apply(PartReport& part) const
{
    std::vector<SpotReport> kept;
    for (SpotReport& spot : part.spots) {
        std::vector<SpotPlace> open;
        bool fresh = false;
        for (const SpotPlace& place : places_of(spot)) {
            const std::string key = key_of(part, spot, place);
            if (waived_.contains(key))
                continue;
            open.push_back(place);
            fresh = fresh || !seen_.contains(key);
        }
        if (open.empty()) {
            ++part.waived;
            continue;
        }
        spot.at = open.front();
        spot.again.assign(open.begin() + 1, open.end());
        spot.fresh = there_ && fresh;
        kept.push_back(std::move(spot));
    }
    part.spots = std::move(kept);
}

void WaivedList::waive(const PartReport& part, const SpotReport& spot)
{
    for (const SpotPlace& place : places_of(spot))
        waived_.insert(key_of(part, spot, place));
}

void WaivedList::see(const PartReport& part)
{
    for (const SpotReport& spot : part.spots)
        for (const SpotPlace& place : places_of(spot))
            seen_.insert(key_of(part, spot, place));
}

std::string WaivedList::json() const
{
    const Json json{{"schema", "canebrake-waived"}, {"version", 1}, {"waived", waived_}, {"seen", seen_}};
    return json.dump(1, ' ', false, Json::error_handler_t::replace) + '\n';
}

} // namespace canebrake
