// SPDX-License-Identifier: MIT
#include "engine/telling/waived.h"

#include "models/units/input_error.h"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <map>
#include <tuple>

namespace canebrake
{
namespace
{

using Json = nlohmann::ordered_json;

std::vector<const SpotPlace*> places_of(const SpotReport& spot)
{
    std::vector<const SpotPlace*> places{&spot.at};
    for (const SpotPlace& place : spot.again)
        places.push_back(&place);
    return places;
}

[[noreturn]] void damaged(const std::string& name, const std::string& wanted)
{
    throw InputError(name + ": found no list of waived spots, wanted " + wanted, Fault::unreadable);
}

std::vector<std::string> texts(const Json& entry, const char* field, const std::string& name)
{
    std::vector<std::string> all;
    if (!entry.contains(field) || !entry[field].is_array())
        damaged(name, std::string("places with a list ") + field);
    for (const Json& text : entry[field]) {
        if (!text.is_string())
            damaged(name, std::string("texts in ") + field);
        all.push_back(text.get<std::string>());
    }
    return all;
}

std::string text_or_empty(const Json& entry, const char* field, const std::string& name)
{
    if (!entry.contains(field) || entry[field].is_null())
        return "";
    if (!entry[field].is_string())
        damaged(name, std::string("a text for ") + field);
    return entry[field].get<std::string>();
}

} // namespace

WaivedList::WaivedList(std::string_view text, const std::string& name) : there_(true)
{
    const Json json = Json::parse(text, nullptr, false);
    if (!json.is_object() || !json.contains("schema") || json["schema"] != "canebrake-waived")
        damaged(name, "JSON with the schema canebrake-waived; take the file away to begin anew");
    if (!json.contains("version") || (json["version"] != 1 && json["version"] != 2))
        damaged(name, "version 1 or 2 of it");
    const bool by_key = json["version"] == 1;
    for (const auto& [list, entries] : {std::pair{"waived", &waived_}, std::pair{"seen", &seen_}}) {
        if (!json.contains(list) || !json[list].is_array())
            damaged(name, std::string("a list named ") + list);
        for (const Json& one : json[list]) {
            Entry entry;
            if (by_key && !one.is_string())
                damaged(name, std::string("texts in ") + list);
            if (by_key || (one.is_object() && one.contains("key"))) {
                entry.known = false;
                entry.old_key = by_key ? one.get<std::string>() : text_or_empty(one, "key", name);
            } else {
                if (!one.is_object())
                    damaged(name, std::string("objects in ") + list);
                entry.part = text_or_empty(one, "part", name);
                entry.cause = text_or_empty(one, "cause", name);
                entry.condition = text_or_empty(one, "if", name);
                entry.place.bar = text_or_empty(one, "bar", name);
                if (!one.contains("beat") || !one["beat"].is_number())
                    damaged(name, "a number for beat");
                entry.place.beat = one["beat"].get<double>();
                entry.place.identity = {texts(one, "notes", name), texts(one, "before", name),
                                        texts(one, "after", name)};
                entry.reason = text_or_empty(one, "reason", name);
            }
            entries->push_back(std::move(entry));
        }
    }
}

std::vector<WaivedList::Told> WaivedList::told(const PartReport& part)
{
    std::vector<Told> all;
    for (std::size_t i = 0; i < part.spots.size(); ++i)
        for (const SpotPlace* place : places_of(part.spots[i])) {
            const SpotReport& spot = part.spots[i];
            Entry entry{part.part_id,
                        word(spot.cause),
                        spot.assumed,
                        {place->identity, place->bar, place->beat},
                        "",
                        true,
                        part.part_id + ": " + spot.key(*place)};
            all.push_back({i, place, std::move(entry)});
        }
    // In playing order, which equal figures keep.
    std::stable_sort(all.begin(), all.end(), [](const Told& a, const Told& b) {
        return std::pair(a.place->bar_index, a.place->beat) < std::pair(b.place->bar_index, b.place->beat);
    });
    return all;
}

std::vector<const WaivedList::Entry*> WaivedList::matched(const std::vector<Entry>& entries,
                                                          const std::vector<Told>& told)
{
    std::vector<const Entry*> result(told.size(), nullptr);
    using Kind = std::tuple<std::string, std::string, std::string>;
    const auto kind_of = [](const Entry& entry) { return Kind(entry.part, entry.cause, entry.condition); };
    std::map<Kind, std::pair<std::vector<std::size_t>, std::vector<std::size_t>>> kinds;
    for (std::size_t i = 0; i < entries.size(); ++i)
        if (entries[i].known)
            kinds[kind_of(entries[i])].first.push_back(i);
    for (std::size_t j = 0; j < told.size(); ++j)
        kinds[kind_of(told[j].entry)].second.push_back(j);
    for (const auto& [kind, lists] : kinds) {
        std::vector<KnownPlace> old, now;
        for (const std::size_t i : lists.first)
            old.push_back(entries[i].place);
        for (const std::size_t j : lists.second)
            now.push_back(told[j].entry.place);
        const std::vector<int> found = found_again(old, now);
        for (std::size_t j = 0; j < now.size(); ++j)
            if (found[j] >= 0)
                result[lists.second[j]] = &entries[lists.first[std::size_t(found[j])]];
    }
    std::map<std::string, const Entry*> by_key;
    for (const Entry& entry : entries)
        if (!entry.known)
            by_key[entry.old_key] = &entry;
    for (std::size_t j = 0; j < told.size(); ++j)
        if (const auto old = by_key.find(told[j].entry.old_key); result[j] == nullptr && old != by_key.end())
            result[j] = old->second;
    return result;
}

void WaivedList::apply(PartReport& part) const
{
    const std::vector<Told> all = told(part);
    const auto waived = matched(waived_, all), seen = matched(seen_, all);
    std::map<const SpotPlace*, std::pair<bool, bool>> of_place; // waived, seen
    for (std::size_t j = 0; j < all.size(); ++j)
        of_place[all[j].place] = {waived[j] != nullptr, seen[j] != nullptr};
    std::vector<SpotReport> kept;
    for (SpotReport& spot : part.spots) {
        std::vector<SpotPlace> open;
        bool fresh = false;
        for (const SpotPlace* place : places_of(spot)) {
            const auto [accepted, known] = of_place.at(place);
            if (accepted)
                continue;
            open.push_back(*place);
            fresh = fresh || !known;
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

void WaivedList::waive(const PartReport& part, const std::set<int>& numbers, const std::string& reason)
{
    const std::vector<Told> all = told(part);
    const auto waived = matched(waived_, all);
    std::vector<Entry> kept, now_seen;
    for (const auto& [list, result] : {std::pair{&waived_, &kept}, std::pair{&seen_, &now_seen}})
        for (const Entry& entry : *list) // of other parts, or not there at the moment
            if (entry.known ? entry.part != part.part_id : !entry.old_key.starts_with(part.part_id + ": "))
                result->push_back(entry);
    std::set<const Entry*> found(waived.begin(), waived.end());
    for (const Entry& entry : waived_)
        if (entry.known && entry.part == part.part_id && !found.contains(&entry))
            kept.push_back(entry); // it may come back
    for (std::size_t j = 0; j < all.size(); ++j) {
        Entry entry = all[j].entry;
        now_seen.push_back(entry);
        const bool chosen = numbers.contains(part.spots[all[j].spot].number);
        if (!chosen && waived[j] == nullptr)
            continue;
        entry.reason = chosen && !reason.empty() ? reason : waived[j] != nullptr ? waived[j]->reason : "";
        kept.push_back(std::move(entry));
    }
    waived_ = std::move(kept);
    seen_ = std::move(now_seen);
}

std::string WaivedList::json() const
{
    const auto list = [](const std::vector<Entry>& entries, bool reasons) {
        Json all = Json::array();
        for (const Entry& entry : entries) {
            if (!entry.known) {
                all.push_back({{"key", entry.old_key}}); // of a part that was not looked at since
                continue;
            }
            Json one{{"part", entry.part},
                     {"cause", entry.cause},
                     {"if", entry.condition.empty() ? Json() : Json(entry.condition)},
                     {"bar", entry.place.bar},
                     {"beat", entry.place.beat},
                     {"notes", entry.place.identity.notes},
                     {"before", entry.place.identity.before},
                     {"after", entry.place.identity.after}};
            if (reasons)
                one["reason"] = entry.reason.empty() ? Json() : Json(entry.reason);
            all.push_back(std::move(one));
        }
        return all;
    };
    const Json json{{"schema", "canebrake-waived"},
                    {"version", 2},
                    {"waived", list(waived_, true)},
                    {"seen", list(seen_, false)}};
    return json.dump(1, ' ', false, Json::error_handler_t::replace) + '\n';
}

} // namespace canebrake
