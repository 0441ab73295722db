// SPDX-License-Identifier: MIT
#include "engine/files/musicxml/play.h"

#include <algorithm>

namespace canebrake::musicxml
{

namespace
{

/// A main note with the grace notes that hang on it.
struct Group {
    std::size_t main = 0;
    std::vector<std::size_t> graces_before, graces_after;
    bool kept = true;
};

std::vector<Group> grouped(std::vector<Played>& notes, std::vector<std::string>& remarks)
{
    std::vector<Group> groups;
    std::vector<std::size_t> loose; // before-graces waiting for their main note
    std::vector<std::string> lost;
    for (std::size_t i = 0; i < notes.size(); ++i) {
        const std::string& voice = notes[i].note.source.voice;
        if (notes[i].note.grace) {
            // An after-grace goes with the last note of its voice.
            auto owner = groups.rend();
            if (notes[i].note.grace_after)
                owner = std::find_if(groups.rbegin(), groups.rend(), [&](const Group& g) {
                    return notes[g.main].note.source.voice == voice;
                });
            if (owner != groups.rend())
                owner->graces_after.push_back(i);
            else
                loose.push_back(i);
            continue;
        }
        groups.push_back({i, {}, {}, true});
        std::erase_if(loose, [&](std::size_t g) {
            if (notes[g].note.source.voice != voice)
                return false;
            notes[g].note.grace_after = false;
            if (notes[g].start == notes[i].start)
                groups.back().graces_before.push_back(g);
            else
                lost.push_back(notes[g].note.source.bar);
            return true;
        });
    }
    for (const std::size_t g : loose)
        lost.push_back(notes[g].note.source.bar);
    if (!lost.empty())
        remarks.push_back("grace notes with no note to lean on in " + bar_list(lost) + " are left out");
    return groups;
}

} // namespace

std::vector<Played> top_line(std::vector<Played> notes, std::vector<std::string>& remarks)
{
    std::vector<Group> groups = grouped(notes, remarks);
    std::stable_sort(groups.begin(), groups.end(), [&](const Group& a, const Group& b) {
        const Played &x = notes[a.main], &y = notes[b.main];
        if (x.start != y.start)
            return x.start < y.start;
        return x.note.sounding > y.note.sounding;
    });
    std::vector<std::string> overlaps;
    std::size_t last = groups.size();
    for (std::size_t i = 0; i < groups.size(); ++i) {
        Played& note = notes[groups[i].main];
        if (last < groups.size() && notes[groups[last].main].end > note.start) {
            Played& before = notes[groups[last].main];
            const bool unison = before.start == note.start && before.note.sounding == note.note.sounding;
            if (!unison)
                overlaps.push_back(note.note.source.bar);
            const bool same_voice = before.note.source.voice == note.note.source.voice;
            if (before.start == note.start) {
                if (unison)
                    before.end = std::max(before.end, note.end);
                groups[i].kept = false;
                continue;
            }
            if (!same_voice && note.note.sounding < before.note.sounding) {
                groups[i].kept = false;
                continue;
            }
            before.end = note.start;
        }
        last = i;
    }
    std::vector<Played> line;
    for (const Group& group : groups) {
        if (!group.kept)
            continue;
        for (const std::size_t i : group.graces_before)
            line.push_back(notes[i]);
        line.push_back(notes[group.main]);
        for (const std::size_t i : group.graces_after) {
            notes[i].start = notes[i].end = notes[group.main].end;
            line.push_back(notes[i]);
        }
    }
    if (!overlaps.empty())
        remarks.push_back("voices sound together in " + bar_list(overlaps) + "; the upper note is played");
    return line;
}

void settle_slurs(std::vector<Played>& notes)
{
    for (std::size_t i = 0; i < notes.size(); ++i) {
        Played& note = notes[i];
        if (!note.slurred)
            continue;
        const bool has_next = i + 1 < notes.size();
        note.note.slurred_to_next =
            has_next && notes[i + 1].start <= note.end &&
            (note.slur_changes_voice || notes[i + 1].note.source.voice == note.note.source.voice);
    }
}

} // namespace canebrake::musicxml
