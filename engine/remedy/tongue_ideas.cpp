// SPDX-License-Identifier: MIT
#include "engine/remedy/small_ideas.h"

#include <fmt/format.h>

#include <string>

namespace canebrake
{

void tongue_ideas_for_changes(const Subject& s, std::vector<Idea>& ideas)
{
    if (!s.slurred_inside())
        return;
    if (!s.long_spot()) {
        ideas.push_back(
            {ChangeKind::tongue,
             fmt::format("tongue {} instead of slurring into it", s.name(s.spot.to)),
             "the slur is broken before it",
             0.0,
             one([](Line line, NoteRange place) { return tongued_after(std::move(line), place.from); }),
             {}});
        return;
    }
    std::vector<std::size_t> over;
    for (std::size_t i = s.spot.from + 1; i <= s.spot.to; ++i)
        if (s.p.part.choices[i].fingering.register_number !=
                s.p.part.choices[i - 1].fingering.register_number &&
            s.p.joined_into(i))
            over.push_back(s.offset(i - 1));
    if (!over.empty() && over.size() < s.place.to - s.place.from)
        ideas.push_back({ChangeKind::tongue,
                         over.size() == 1 ? std::string("tongue the note over the break")
                                          : fmt::format("tongue the {} changes of register", over.size()),
                         over.size() == 1 ? "the slur is broken there" : "the slur is broken at each of them",
                         0.1 * double(over.size()),
                         one([over](Line line, NoteRange place) {
                             for (const std::size_t offset : over)
                                 line = tongued_after(std::move(line), place.from + offset);
                             return line;
                         }),
                         {}});
    ideas.push_back({ChangeKind::tongue,
                     "slur in pairs instead",
                     "every second note gets a stroke",
                     0.6,
                     one([](Line line, NoteRange place) { return slurred_in_pairs(std::move(line), place); }),
                     {}});
    ideas.push_back({ChangeKind::tongue,
                     "tongue every note",
                     "the slur goes",
                     1.0,
                     one([](Line line, NoteRange place) { return all_tongued(std::move(line), place); }),
                     {}});
}

void tongue_ideas_for_strokes(std::vector<Idea>& ideas)
{
    // A run goes on past the part of it that decides.
    const auto run = [](const Line& line, NoteRange place) { return phrase_around(line, place, 400); };
    ideas.push_back({ChangeKind::tongue,
                     "slur two, tongue two",
                     "every fourth stroke goes",
                     0.0,
                     one([=](Line line, NoteRange place) {
                         const NoteRange whole = run(line, place);
                         return two_slurred_two_tongued(std::move(line), whole);
                     }),
                     {}});
    ideas.push_back({ChangeKind::tongue,
                     "slur in pairs",
                     "every second stroke goes",
                     0.4,
                     one([=](Line line, NoteRange place) {
                         const NoteRange whole = run(line, place);
                         return slurred_in_pairs(std::move(line), whole);
                     }),
                     {}});
    ideas.push_back({ChangeKind::tongue,
                     "slur it all",
                     "every stroke but the first goes",
                     1.5,
                     one([=](Line line, NoteRange place) {
                         const NoteRange whole = run(line, place);
                         for (std::size_t i = whole.from; i < whole.to; ++i)
                             line = slurred_into(std::move(line), i + 1);
                         return line;
                     }),
                     {}});
}

} // namespace canebrake
