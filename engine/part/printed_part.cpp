// SPDX-License-Identifier: MIT
#include "engine/part/printed_part.h"

#include "engine/spelling/key.h"
#include "engine/spelling/spell.h"
#include "engine/spelling/transposed.h"

#include <algorithm>
#include <map>

namespace canebrake
{
namespace
{

const FamilyMember& member_at(const Casting& casting, double quarter)
{
    const Casting::Stretch& stretch = casting.at(quarter);
    return *member_named(stretch.played_on.empty() ? "B-flat" : stretch.played_on);
}

} // namespace

Line written_for(const Line& line, const Casting& casting)
{
    std::map<int, Line> pages; // by transposition
    const auto page = [&](int transposition) -> const Line& {
        const auto found = pages.find(transposition);
        return found != pages.end()
                   ? found->second
                   : pages.try_emplace(transposition, transpose_line(line, transposition)).first->second;
    };
    Line written = line;
    written.keys.clear();
    written.written_known = true;
    for (std::size_t i = 0; i < line.notes.size(); ++i)
        written.notes[i] = page(member_at(casting, line.notes[i].start_quarter).transposition).notes[i];
    for (std::size_t s = 0; s < casting.stretches.size(); ++s) {
        const double from = s == 0 ? 0.0 : casting.stretches[s].from;
        const double to = s + 1 < casting.stretches.size() ? casting.stretches[s + 1].from : 1e300;
        const auto& keys = page(member_at(casting, from).transposition).keys;
        const auto add = [&](double quarter, int fifths) {
            if (written.keys.empty() ? fifths != 0 || quarter == 0.0 : written.keys.back().fifths != fifths)
                written.keys.push_back({quarter, fifths});
        };
        if (keys.empty())
            continue;
        add(from, key_at(keys, from));
        for (const KeyPoint& key : keys)
            if (key.quarter > from && key.quarter < to)
                add(key.quarter, key.fifths);
    }
    return written;
}

Line with_key(Line line)
{
    if (!line.keys.empty() || line.notes.empty())
        return line;
    std::vector<KeyTone> tones;
    int lean = 0;
    for (const Note& note : line.notes) {
        tones.push_back({note.printed, std::max(note.length_quarters, 0.05)});
        lean += note.printed_alter;
    }
    const auto key = estimate_key(tones);
    if (!key || key->correlation < 0.45)
        return line;
    line.keys = {{0.0, transposed_key(key->fifths, 0, lean)}};
    respell(line.notes, line.keys);
    return line;
}

Line on_instrument(Line line, const Casting& now, double from, double to, const std::string& instrument)
{
    std::vector<InstrumentStretch> stretches;
    const auto add = [&](double quarter, const std::string& name, const std::string& other) {
        if (!stretches.empty() && stretches.back().start_quarter >= quarter)
            stretches.pop_back();
        if (stretches.empty() || stretches.back().name != name || stretches.back().other != other)
            stretches.push_back({quarter, name, other, "as the remedy has it"});
    };
    const auto played = [](const Casting::Stretch& s) { return s.printed != nullptr ? s.played_on : ""; };
    for (const Casting::Stretch& s : now.stretches)
        if (s.from < from)
            add(s.from, played(s), s.printed == nullptr ? s.other : "");
    add(from, instrument, "");
    if (to < line.end_quarter) {
        const Casting::Stretch& after = now.at(to);
        add(to, played(after), after.printed == nullptr ? after.other : "");
    }
    for (const Casting::Stretch& s : now.stretches)
        if (s.from > to)
            add(s.from, played(s), s.printed == nullptr ? s.other : "");
    line.instruments = std::move(stretches);
    return line;
}

} // namespace canebrake
