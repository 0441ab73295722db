// SPDX-License-Identifier: MIT
// Places known by their notes and what surrounds them: found again after edits elsewhere, and not where other
// music stands.
#include "engine/telling/identity.h"

#include <catch2/catch.hpp>

#include <random>
#include <string>
#include <vector>

using namespace canebrake;

namespace
{

Note note(int number, double length = 0.5)
{
    Note made;
    made.sounding.number = number;
    made.length_quarters = length;
    return made;
}

/// A line of random notes within two octaves.
Line random_line(std::mt19937& random, std::size_t count)
{
    std::uniform_int_distribution<int> pitch(55, 79), length(1, 4);
    Line line;
    for (std::size_t i = 0; i < count; ++i)
        line.notes.push_back(note(pitch(random), 0.25 * length(random)));
    return line;
}

KnownPlace place(const Line& line, std::size_t from, std::size_t to)
{
    return {identity_of(line, from, to), std::to_string(from / 8 + 1), double(from % 8) + 1.0};
}

} // namespace

TEST_CASE("a hundred random edits lose no place that still stands", "[identity]")
{
    std::mt19937 random(20261201);
    const auto below = [&](std::size_t n) {
        return std::uniform_int_distribution<std::size_t>(0, n - 1)(random);
    };
    for (int trial = 0; trial < 20; ++trial) {
        Line line = random_line(random, 240);
        // Marks on the notes follow them through the edits: their own numbers.
        std::vector<std::size_t> starts;
        for (std::size_t from = 8; from + 10 < line.notes.size(); from += 23)
            starts.push_back(from);
        for (std::size_t i = 0; i < line.notes.size(); ++i)
            line.notes[i].source.number = i;
        std::vector<KnownPlace> old;
        for (const std::size_t from : starts)
            old.push_back(place(line, from, from + 2));
        std::size_t fresh = 100000;
        for (int edit = 0; edit < 100; ++edit) {
            // As a writer works: the list is looked up after each edit and written again.
            const std::size_t at = below(line.notes.size());
            switch (below(3)) {
            case 0: {
                Note more = note(60 + int(below(20)));
                more.source.number = fresh++;
                line.notes.insert(line.notes.begin() + std::ptrdiff_t(at), more);
                break;
            }
            case 1:
                line.notes.erase(line.notes.begin() + std::ptrdiff_t(at));
                break;
            default:
                line.notes[at].sounding.number += 1;
                line.notes[at].source.number = fresh++;
            }
            std::vector<KnownPlace> now, kept;
            std::vector<std::size_t> standing;
            for (std::size_t s = 0; s < starts.size(); ++s)
                for (std::size_t i = 0; i + 2 < line.notes.size(); ++i)
                    if (line.notes[i].source.number == starts[s] &&
                        line.notes[i + 1].source.number == starts[s] + 1 &&
                        line.notes[i + 2].source.number == starts[s] + 2) {
                        now.push_back(place(line, i, i + 2));
                        standing.push_back(s);
                    }
            const std::vector<int> found = found_again(old, now);
            std::vector<std::size_t> left;
            for (std::size_t j = 0; j < now.size(); ++j) {
                INFO("trial " << trial << ", edit " << edit);
                CHECK(found[j] >= 0);
                kept.push_back(now[j]);
                left.push_back(starts[standing[j]]);
            }
            old = kept;
            starts = left;
        }
        CHECK(!starts.empty());
    }
}

TEST_CASE("the same figure in other surroundings is another place", "[identity]")
{
    std::mt19937 random(7);
    Line one = random_line(random, 40), other = random_line(random, 40);
    for (std::size_t i = 0; i < 3; ++i)
        one.notes[20 + i] = other.notes[29 + i] = note(70 + int(i));
    CHECK(found_again({place(one, 20, 22)}, {place(other, 29, 31)}) == std::vector<int>{-1});
    CHECK(found_again({place(one, 20, 22)}, {place(one, 20, 22)}) == std::vector<int>{0});
}

TEST_CASE("notes changed in a place make it another", "[identity]")
{
    std::mt19937 random(11);
    Line line = random_line(random, 30);
    const KnownPlace old = place(line, 10, 13);
    line.notes[11].sounding.number += 1;
    CHECK(found_again({old}, {place(line, 10, 13)}) == std::vector<int>{-1});
    CHECK(likeness(old.identity, place(line, 10, 13).identity) == 0.0);
}

TEST_CASE("equal figures keep their turn, and a new one among them is new", "[identity]")
{
    // The same four notes over and over; the second of four was accepted, and a fifth is put in before all.
    Line line;
    for (int i = 0; i < 4; ++i)
        for (const int number : {70, 72, 74, 75})
            line.notes.push_back(note(number));
    line.notes.insert(line.notes.begin(), note(50));
    line.notes.push_back(note(51));
    std::vector<KnownPlace> all;
    for (std::size_t i = 0; i < 4; ++i)
        all.push_back(place(line, 1 + 4 * i, 4 + 4 * i));
    CHECK(found_again(all, all) == std::vector<int>{0, 1, 2, 3});
    CHECK(found_again({all[1]}, all) == std::vector<int>{-1, 0, -1, -1});
}

TEST_CASE("a passage moved past another is found again", "[identity]")
{
    std::mt19937 random(3);
    const Line first = random_line(random, 30), second = random_line(random, 30);
    Line ab = first, ba = second;
    ab.notes.insert(ab.notes.end(), second.notes.begin(), second.notes.end());
    ba.notes.insert(ba.notes.end(), first.notes.begin(), first.notes.end());
    CHECK(found_again({place(ab, 12, 14), place(ab, 42, 44)}, {place(ba, 12, 14), place(ba, 42, 44)}) ==
          std::vector<int>{1, 0});
}
