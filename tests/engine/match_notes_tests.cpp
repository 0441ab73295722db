// SPDX-License-Identifier: MIT
// Two takes of a line that differ in a known way: who is set beside whom.
#include "engine/comparison/match_notes.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>

using namespace canebrake;

namespace
{
/// A tune of quarter and eighth notes; the same seed, the same tune.
std::vector<FoundNote> tune(std::size_t count, std::uint32_t seed = 7)
{
    std::vector<FoundNote> notes;
    double t = 0.0;
    int pitch = 62;
    const auto next = [&seed](std::uint32_t below) {
        seed = seed * 1664525u + 1013904223u;
        return int((seed >> 16) % below);
    };
    for (std::size_t i = 0; i < count; ++i) {
        pitch = std::clamp(pitch + next(9) - 4, 50, 86);
        const double length_s = next(3) ? 0.25 : 0.5;
        notes.push_back({t, t + 0.9 * length_s, 440.0 * std::exp2((pitch - 69) / 12.0)});
        t += length_s;
    }
    return notes;
}

std::vector<FoundNote> changed(std::vector<FoundNote> notes, double slower, double cents)
{
    for (FoundNote& note : notes) {
        note.start_s *= slower;
        note.end_s *= slower;
        note.hz *= std::exp2(cents / 1200.0);
    }
    return notes;
}

/// Every note of both once, in order.
void check_complete(const NoteMatch& match, std::size_t first, std::size_t second)
{
    std::size_t a = 0, b = 0;
    for (const NotePair& pair : match.pairs) {
        CHECK((pair.first || pair.second));
        if (pair.first)
            CHECK(*pair.first == a++);
        if (pair.second)
            CHECK(*pair.second == b++);
    }
    CHECK(a == first);
    CHECK(b == second);
}

std::size_t paired(const NoteMatch& match)
{
    return std::size_t(std::count_if(match.pairs.begin(), match.pairs.end(),
                                     [](const NotePair& pair) { return pair.first && pair.second; }));
}
} // namespace

TEST_CASE("a line matches itself at another tempo, in another key and at another A4", "[match]")
{
    const auto line = tune(60);
    for (const double slower : {0.5, 1.0, 1.7})
        for (const double cents : {0.0, 37.0, -37.0, 100.0, -300.0, 1200.0}) {
            CAPTURE(slower, cents);
            const auto match = match_notes(line, changed(line, slower, cents));
            CHECK(match.shift_cents == Approx(cents).margin(0.01));
            REQUIRE(match.pairs.size() == line.size());
            CHECK(paired(match) == line.size());
            check_complete(match, line.size(), line.size());
        }
}

TEST_CASE("a note that is missing or too many stands alone, and only that one", "[match]")
{
    const auto line = tune(40);
    for (std::size_t at = 0; at < line.size(); ++at) {
        auto other = changed(line, 1.2, 12.0);
        other.erase(other.begin() + std::ptrdiff_t(at));
        // Of notes of one pitch in a row any may be the one that is missing.
        const auto same = [&](std::size_t i, std::size_t k) { return line[i].hz == line[k].hz; };
        std::size_t from = at, to = at;
        while (from > 0 && same(from - 1, at))
            --from;
        while (to + 1 < line.size() && same(to + 1, at))
            ++to;
        CAPTURE(at, from, to);
        for (const bool swapped : {false, true}) {
            const auto match = swapped ? match_notes(other, line) : match_notes(line, other);
            check_complete(match, swapped ? 39 : 40, swapped ? 40 : 39);
            CHECK(match.shift_cents == Approx(swapped ? -12.0 : 12.0).margin(0.01));
            REQUIRE(paired(match) == 39);
            for (const NotePair& pair : match.pairs)
                if (!pair.first || !pair.second) {
                    const std::size_t alone = swapped ? pair.second.value_or(999) : pair.first.value_or(999);
                    CHECK(alone >= from);
                    CHECK(alone <= to);
                }
        }
    }
}

TEST_CASE("of repeated notes the one whose length is missing stands alone", "[match]")
{
    const std::vector<FoundNote> line{
        {0.0, 0.2, 440.0}, {0.25, 0.45, 440.0}, {0.5, 1.4, 440.0}, {1.5, 1.7, 440.0}, {1.75, 1.95, 440.0}};
    std::vector<FoundNote> other;
    for (const std::size_t i : {0u, 1u, 3u, 4u})
        other.push_back({0.25 * double(other.size()), 0.25 * double(other.size()) + 0.2, line[i].hz});
    const auto match = match_notes(line, other);
    REQUIRE(match.pairs.size() == 5);
    CHECK(match.pairs[2].first == 2u);
    CHECK_FALSE(match.pairs[2].second.has_value());
}

TEST_CASE("a wrong note is set beside the right one", "[match]")
{
    const auto line = tune(30);
    auto other = changed(line, 0.9, -5.0);
    other[11].hz *= std::exp2(5.0 / 12.0);
    other[20].hz *= std::exp2(-1.0 / 12.0);
    const auto match = match_notes(line, other);
    REQUIRE(match.pairs.size() == 30);
    CHECK(match.shift_cents == Approx(-5.0).margin(0.01));
    for (std::size_t i = 0; i < 30; ++i) {
        CHECK(match.pairs[i].first == i);
        CHECK(match.pairs[i].second == i);
    }
}

TEST_CASE("the distance is that of most notes, not their mean", "[match]")
{
    const auto line = tune(31);
    auto other = changed(line, 1.0, 20.0);
    for (std::size_t i = 0; i < other.size(); i += 5)
        other[i].hz *= std::exp2(40.0 / 1200.0); // some are sharp
    CHECK(match_notes(line, other).shift_cents == Approx(20.0).margin(0.01));
}

TEST_CASE("lines with nothing in common are still told note by note, and moved nowhere", "[match]")
{
    std::vector<FoundNote> one, other;
    for (int i = 0; i < 12; ++i) { // a chromatic scale up, leaps all over the compass
        one.push_back({0.3 * i, 0.3 * i + 0.28, 200.0 * std::exp2(i / 12.0)});
        other.push_back({0.3 * i, 0.3 * i + 0.28, 300.0 * std::exp2(((i * i * 5) % 31 - i) / 12.0)});
    }
    const auto match = match_notes(one, other);
    check_complete(match, 12, 12);
    CHECK(match.shift_cents == 0.0);
}

TEST_CASE("nothing beside something stands alone", "[match]")
{
    const auto line = tune(5);
    CHECK(match_notes({}, {}).pairs.empty());
    CHECK(match_notes({}, {}).shift_cents == 0.0);
    const auto left = match_notes(line, {}), right = match_notes({}, line);
    check_complete(left, 5, 0);
    check_complete(right, 0, 5);
    CHECK(left.pairs.size() == 5);
    CHECK(right.pairs.size() == 5);
    const auto single = match_notes(std::span(line).first(1), std::span(line).first(1));
    CHECK(paired(single) == 1);
}

TEST_CASE("five thousand notes are matched, though the other take begins a quarter later", "[match]")
{
    const auto line = tune(5000);
    const auto whole = changed(line, 1.05, 7.85);
    std::vector<FoundNote> other(whole.begin() + 1200, whole.end());
    for (std::size_t i = 50; i < other.size(); i += 97)
        other[i].hz *= std::exp2(3.0 / 12.0);
    const auto match = match_notes(line, other);
    check_complete(match, 5000, 3800);
    CHECK(match.shift_cents == Approx(7.85).margin(0.01));
    std::size_t right = 0;
    for (const NotePair& pair : match.pairs)
        if (pair.first && pair.second)
            right += *pair.first == *pair.second + 1200;
    CHECK(right > 3780); // at the edge a note may go either way
}
