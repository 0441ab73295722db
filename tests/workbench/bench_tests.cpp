// SPDX-License-Identifier: MIT
// The C++ door: several remedies taken together, and parts saved.
#include "engine/files/read.h"
#include "engine/workbench/bench.h"
#include "engine/workbench/taking.h"
#include "models/units/input_error.h"

#include <catch2/catch.hpp>

#include <string>

using namespace canebrake;

namespace
{

LineRequest written()
{
    LineRequest request;
    request.pitch = PitchBasis::written;
    return request;
}

// Rough at two far ends: a quick crossing, and strokes faster than a single tongue.
const char* const two_places = "tempo 132 1/8 A4_B4_A4_B4 1/2 rest 1/1 rest C5 rest "
                               "1/32 C5 C5 C5 C5 C5 C5 C5 C5 C5 C5 C5 C5 C5 C5 C5 C5 1/4 C5";

} // namespace

TEST_CASE("remedies of two spots are taken together and leave less than either alone", "[taking]")
{
    const LineRequest request = written();
    const Remedies remedies(Bench::of_phrase(two_places).score(), request);
    const RemedyReport report = remedies.find(0, 3);
    std::vector<RemedyNumber> numbers;
    for (const ToldRemedies& one : report.all)
        if (!one.found.remedies.empty() && one.found.remedies[0].idea.on.empty())
            numbers.push_back({one.told.number, 1});
    REQUIRE(numbers.size() >= 2);
    numbers.resize(2);
    const auto rough = [](const GradeCounts& counts) { return counts[0] + 4 * counts[1] + 20 * counts[2]; };
    const TakenRemedies both(remedies, numbers, request);
    CHECK(both.what().size() == 2);
    for (const RemedyNumber& number : numbers) {
        const TakenRemedies one(remedies, {number}, request);
        CHECK(rough(one.after()) < rough(one.before()));
        CHECK(rough(both.after()) < rough(one.after()));
    }
    std::vector<std::string> remarks;
    const auto pages = both.pages(Bench::of_phrase(two_places), remarks);
    REQUIRE(pages.size() == 1);
    CHECK(Bench::of_file(pages[0], "two.musicxml").parts().size() == 1);
}

TEST_CASE("a remedy that is not there, or changes the same notes twice, is refused", "[taking]")
{
    const LineRequest request = written();
    const Remedies remedies(Bench::of_phrase(two_places).score(), request);
    CHECK_THROWS_AS(TakenRemedies(remedies, {{1, 12}}, request), InputError);
    CHECK_THROWS_AS(TakenRemedies(remedies, {{99, 1}}, request), InputError);
    CHECK_THROWS_AS(TakenRemedies(remedies, {}, request), InputError);
    CHECK_THROWS_AS(TakenRemedies(remedies, {{1, 1}, {1, 2}}, request), InputError);
}

TEST_CASE("a part saved as MusicXML reads back to the same sounding notes", "[bench]")
{
    const Bench bench = Bench::of_phrase("meter 3/4 C5 D5_E5 bar 3/4 Bb3");
    std::vector<std::string> remarks;
    const Score again = read_score(bench.part_as_musicxml(written(), remarks), "again");
    REQUIRE(again.parts.size() == 1);
    REQUIRE(again.parts[0].notes.size() == 4);
    CHECK(again.parts[0].notes[0].sounding.number == 70); // written C5 sounds B♭4 on the B♭ clarinet
    CHECK(again.parts[0].notes[3].length_quarters == 3.0);
}
