// SPDX-License-Identifier: MIT
// What is told of a trouble: how bad it is, and at which of its places. Common practice, no source
// (tests/spots/SOURCES.md has the limits).
#include "tests/spots/judging.h"

#include <catch2/catch.hpp>

#include <vector>

using namespace canebrake;

namespace
{

Judging by_rule(const std::string& phrase)
{
    Asked asked{.phrase = phrase};
    asked.options.listen = false;
    return Judging(asked);
}

/// Bars of a note that is held, without a breath mark.
std::string bars(int count)
{
    std::string text;
    for (int i = 0; i < count; ++i)
        text += i % 2 == 0 ? " C5" : " D5";
    return text;
}

} // namespace

TEST_CASE("a second's rest makes good some six seconds of playing", "[spots]")
{
    // 120 s loud, a rest, 96 s loud: unbroken that is beyond four minutes of ordinary playing. A bar lasts
    // 8 s at 30 quarters a minute.
    const auto endurance = [](const std::string& rest) {
        return by_rule("tempo 30 ff 1/1" + bars(15) + rest + bars(12)).find(Cause::endurance) != nullptr;
    };
    CHECK(endurance(""));
    CHECK(endurance(" 1/1 rest 1/1"));             // 8 s
    CHECK_FALSE(endurance(" 1/1 rest rest rest")); // 24 s
}

TEST_CASE("of a trouble that comes back the hardest place is told, and the others are named", "[spots]")
{
    const std::string slower = " tempo 165 1/16 G4_A4_B4_C5_ 1/4 D5 1/2 rest",
                      faster = " tempo 185 1/16 G4_A4_B4_C5_ 1/4 D5 1/2 rest";
    for (const bool first : {true, false}) {
        const Judging judging = by_rule("mf" + (first ? faster + slower : slower + faster));
        const Spot* spot = judging.find(Cause::crossing);
        CAPTURE(first, judging.told());
        REQUIRE(spot != nullptr);
        CHECK(spot->grade == Grade::awkward);
        CHECK(spot->from == (first ? 1 : 6));
        CHECK(spot->again == std::vector<std::size_t>{first ? 6u : 1u});
    }
}

TEST_CASE("flutter is awkward in the clarion, risky where it is soft or above C6", "[spots]")
{
    const auto grade = [](const std::string& phrase) {
        const Judging judging = by_rule("tempo 60 " + phrase);
        const Spot* spot = judging.find(Cause::flutter);
        return spot == nullptr ? Grade::easy : spot->grade;
    };
    CHECK(grade("f 1/2 flutter C5 rest") == Grade::easy);
    CHECK(grade("f 1/2 flutter G5 rest") == Grade::awkward);
    CHECK(grade("pp 1/2 flutter G5 rest") == Grade::risky);
    CHECK(grade("f 1/2 flutter D6 rest") == Grade::risky);
}
