// SPDX-License-Identifier: MIT
// A spot says what one more item of the kit would make of it. Taken into the kit, that is what it makes.
#include "engine/telling/spot_report.h"
#include "tests/spots/judging.h"

#include <catch2/catch.hpp>

#include <string>
#include <vector>

using namespace canebrake;

namespace
{

struct Item {
    const char* words; ///< as a spot says it
    bool Kit::*item;
    Cause cause;
    Asked line;
};

/// Where an item helps: why the places are rough is told in cause_tests.cpp.
std::vector<Item> items()
{
    Asked bass{.phrase = "tempo 60 mf 1/2 E3 C3 E3"};
    bass.instrument = "bass";
    return {
        {"a left A-flat/E-flat lever",
         &Kit::left_a_flat_lever,
         Cause::little_finger,
         {.phrase = "tempo 100 mf 1/16 Ab5_C5_Eb5_C5_ 1/4 Ab5"}},
        {"double tonguing",
         &Kit::double_tongue,
         Cause::tongue,
         {.phrase = "tempo 156 f 1/16 E4 E4 E4 E4 E4 E4 E4 E4 1/4 E4 rest"}},
        {"double tonguing",
         &Kit::double_tongue,
         Cause::tongue,
         {.phrase = "tempo 210 f 1/16 E4 E4 E4 E4 E4 E4 E4 E4 1/4 E4 rest"}},
        {"circular breathing",
         &Kit::circular_breathing,
         Cause::breath,
         {.phrase = "tempo 60 mf 1/1 D5_F5_E5_G5_F5_E5_F5_ 1/2 D5 rest"}},
        {"the keys to low C", &Kit::low_c_bass, Cause::range, bass},
        {"an articulated C-sharp/G-sharp key",
         &Kit::articulated_c_sharp,
         Cause::trill,
         {.phrase = "tempo 80 mf 1/2 trill B3 1/4 A3 rest"}},
    };
}

/// The hardest spot of a cause as it is told; it must be there.
SpotReport told(const Judging& judging, Cause cause)
{
    const Spot* hardest = judging.find(cause);
    REQUIRE(hardest != nullptr);
    for (const SpotReport& spot : report_of(judging.part()).spots)
        if (spot.cause == cause && spot.grade == hardest->grade)
            return spot;
    FAIL("a spot is not told");
    return {};
}

Grade grade_of(const Judging& judging, Cause cause)
{
    const Spot* spot = judging.find(cause);
    return spot == nullptr ? Grade::easy : spot->grade;
}

} // namespace

TEST_CASE("a spot says what another item of the kit would make of it, and that comes true", "[spots][kit]")
{
    for (const Item& item : items()) {
        Asked asked = item.line;
        asked.options.listen = false;
        const Judging without(asked);
        asked.kit.*item.item = true;
        const Judging with(asked);
        CAPTURE(item.words, asked.phrase, without.told(), with.told());
        const SpotReport spot = told(without, item.cause);
        const Grade milder = grade_of(with, item.cause);
        CHECK(milder < spot.grade);
        CHECK(spot.kit == "with " + std::string(item.words) + " it is " + word(milder));
    }
}

TEST_CASE("who has the item already is not told of it, nor who is not helped by it", "[spots][kit]")
{
    struct Row {
        Cause cause;
        Asked line;
    };
    Asked lever{.phrase = "tempo 100 mf 1/16 by L B4_ by L C#5_ by L B4_ by L C#5_ 1/4 D5"};
    const Asked too_fast{.phrase =
                             "tempo 290 f 1/16 E4 E4 E4 E4 E4 E4 E4 E4 1/4 E4 rest"}; // for two strokes too
    Asked twice = too_fast;
    twice.kit.double_tongue = true;
    Asked soprano{.phrase = "tempo 72 mf 1/4 F3 E3 D3 E3"};
    for (const Row& row :
         {Row{Cause::little_finger, lever}, // neither note is the lever's
          Row{Cause::tongue, too_fast}, Row{Cause::tongue, twice}, Row{Cause::range, soprano}, // no bass
          Row{Cause::trill, {.phrase = "tempo 80 mf 1/2 trill half Bb4 1/4 G4 rest"}}}) {
        Asked asked = row.line;
        asked.options.listen = false;
        const Judging judging(asked);
        CAPTURE(asked.phrase, judging.told());
        CHECK(told(judging, row.cause).kit.empty());
    }
}
