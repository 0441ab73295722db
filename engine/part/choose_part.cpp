// SPDX-License-Identifier: MIT
#include "engine/part/choose_part.h"

#include "models/units/input_error.h"

#include <algorithm>
#include <charconv>
#include <fmt/format.h>
#include <vector>

namespace canebrake
{
namespace
{

/// The track a MIDI part comes from, or 0: only MIDI notes carry "track N event M".
int track_of(const Line& part)
{
    int track = 0;
    if (part.notes.empty() || !part.notes[0].source.id.starts_with("track "))
        return 0;
    const std::string& id = part.notes[0].source.id;
    std::from_chars(id.data() + 6, id.data() + id.size(), track);
    return track;
}

std::string listing(const std::vector<Line>& parts)
{
    std::string text;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const Line& part = parts[i];
        const std::string name = part.part_name.empty() ? "" : ", " + part.part_name;
        text += fmt::format("\n  {}  {}{}: {} note{}", i + 1, part.part_id, name, part.notes.size(),
                            part.notes.size() == 1 ? "" : "s");
    }
    return text;
}

/// The parts a choice can mean, by the first of these that fits any: id, name, "track N" or "channel N" of a
/// MIDI file, number.
std::vector<const Line*> parts_meant(const Score& score, const std::string& choice)
{
    std::vector<const Line*> meant;
    const auto take = [&](auto&& fits) {
        for (const Line& part : score.parts)
            if (meant.size() < score.parts.size() && fits(part))
                meant.push_back(&part);
        return !meant.empty();
    };
    if (take([&](const Line& part) { return part.part_id == choice; }) ||
        take([&](const Line& part) { return part.part_name == choice; }) || take([&](const Line& part) {
            return track_of(part) > 0 && choice == fmt::format("track {}", track_of(part));
        }) ||
        take([&](const Line& part) {
            return track_of(part) > 0 && choice == "channel " + part.notes[0].source.voice;
        }))
        return meant;
    std::size_t number = 0;
    const auto [end, error] = std::from_chars(choice.data(), choice.data() + choice.size(), number);
    if (error == std::errc() && end == choice.data() + choice.size() && number >= 1 &&
        number <= score.parts.size())
        meant.push_back(&score.parts[number - 1]);
    return meant;
}

} // namespace

Line choose_part(const Score& score, const std::string& choice)
{
    std::vector<const Line*> meant;
    if (choice.empty()) {
        for (const Line& part : score.parts)
            if (!part.notes.empty())
                meant.push_back(&part);
        if (meant.empty())
            throw InputError("found no notes in any part of the score");
        if (meant.size() > 1)
            throw InputError("found several parts, wanted the choice of one:" + listing(score.parts),
                             Fault::needs_choice);
    } else {
        meant = parts_meant(score, choice);
        if (meant.empty())
            throw InputError(
                fmt::format("found no part '{}', wanted one of these:{}", choice, listing(score.parts)),
                Fault::needs_choice);
        if (meant.size() > 1)
            throw InputError(fmt::format("found {} parts called '{}', wanted one by id or number:{}",
                                         meant.size(), choice, listing(score.parts)),
                             Fault::needs_choice);
        if (meant[0]->notes.empty())
            throw InputError(fmt::format("found no notes in part '{}'", choice));
    }
    Line line = *meant[0];
    for (const std::string& remark : score.remarks)
        if (std::find(line.remarks.begin(), line.remarks.end(), remark) == line.remarks.end())
            line.remarks.push_back(remark);
    return line;
}

} // namespace canebrake
