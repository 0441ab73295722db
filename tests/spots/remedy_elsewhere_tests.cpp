// SPDX-License-Identifier: MIT
// "No other place worse": a change that mends one place and spoils another is not offered.
#include "engine/remedy/search.h"
#include "tests/support/asked_line.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <string>

using namespace canebrake;

namespace
{

PlacedSpot at(Cause cause, Grade grade, std::size_t from, std::size_t to)
{
    PlacedSpot placed;
    placed.spot.cause = cause;
    placed.spot.grade = grade;
    placed.place = {from, to};
    return placed;
}

/// A typed phrase and the ways out of its places.
struct Searched {
    LineRequest request;
    TrillBooks books;
    TrialRoom room;
    JudgedPart judged;

    explicit Searched(const std::string& phrase)
        : request(asked(phrase)), books(request.settings.kit),
          room(test::asked_line(request), request, books), judged(room.judged(room.line(), "", by_rule()))
    {
    }
    static LineRequest asked(const std::string& phrase)
    {
        LineRequest request;
        request.phrase = phrase;
        request.instrument = "B-flat";
        request.pitch = PitchBasis::written;
        return request;
    }
    static JudgeOptions by_rule()
    {
        JudgeOptions options;
        options.listen = options.ideal = false;
        options.threads = 1;
        return options;
    }
    SpotRemedies of(Cause cause)
    {
        for (const auto& stretch : judged.stretches())
            for (const Spot& spot : stretch.spots)
                if (spot.cause == cause)
                    return RemedySearch(room, 12).find(judged, stretch, spot);
        FAIL("no spot with the cause " << word(cause));
        return {};
    }
    Verdicts verdicts(const Line& version) const
    {
        return room.verdicts(version, room.everything(), "", true);
    }
    Comparison compared(const Line& version, const PlacedSpot& target) const
    {
        return compare(verdicts(room.line()), {verdicts(version)}, target);
    }
};

bool offers(const SpotRemedies& spot, ChangeKind kind)
{
    return std::any_of(spot.remedies.begin(), spot.remedies.end(),
                       [&](const Remedy& remedy) { return remedy.idea.kind == kind; });
}

} // namespace

TEST_CASE("a place elsewhere counts as worse when it is new or harder than the worst that stood there",
          "[remedy][law]")
{
    const PlacedSpot target = at(Cause::tongue, Grade::risky, 0, 7);
    const Verdicts before{target, at(Cause::crossing, Grade::awkward, 10, 11),
                          at(Cause::leap, Grade::risky, 20, 21)};
    const auto worse = [&](std::vector<Verdicts> after) {
        return compare(before, after, target).worse_elsewhere;
    };
    const PlacedSpot crossing = before[1], leap = before[2];
    CHECK_FALSE(worse({{}}));
    CHECK_FALSE(worse({{crossing, leap}}));                                      // as they were
    CHECK_FALSE(worse({{at(Cause::fingers, Grade::awkward, 11, 12), leap}}));    // another word for it
    CHECK_FALSE(worse({{at(Cause::tongue, Grade::unplayable, 3, 8)}}));          // that is the place itself
    CHECK(worse({{crossing, leap, at(Cause::throat, Grade::awkward, 30, 30)}})); // new
    CHECK(worse({{at(Cause::crossing, Grade::risky, 10, 11)}}));                 // harder
    CHECK(worse({{at(Cause::leap, Grade::unplayable, 20, 21)}}));
    CHECK(worse({{}, {at(Cause::breath, Grade::awkward, 12, 15)}})); // of a second player's as well
}

TEST_CASE("slurring a run is not offered where it makes an octave down hang further on", "[remedy]")
{
    // The strokes that are too fast are over after two beats, the run of strokes is not. Common practice, no
    // source: tongued, C6 to C5 starts fresh; slurred, the upper note hangs on.
    Searched searched(
        "tempo 150 mf 1/16 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 1/8 C6 C5 C6 C5 C6 C5 C6 C5 1/2 C5");
    const SpotRemedies spot = searched.of(Cause::tongue);
    REQUIRE(spot.found.place.to < 12);
    Line slurred = searched.room.line();
    for (Note& note : slurred.notes)
        note.slurred_to_next = &note != &slurred.notes.back();
    const Comparison c = searched.compared(slurred, spot.found);
    CHECK(c.after.grade < spot.found.spot.grade); // it would mend the place
    CHECK(c.worse_elsewhere);
    CHECK_FALSE(spot.remedies.empty());
    CHECK_FALSE(offers(spot, ChangeKind::tongue));
    for (const Remedy& remedy : spot.remedies)
        if (remedy.idea.on.empty())
            for (const Line& line : with_remedy(searched.room, spot, remedy)) {
                CAPTURE(remedy.idea.what);
                CHECK_FALSE(searched.compared(line, spot.found).worse_elsewhere);
            }
}

TEST_CASE("a slower tempo is not offered where it makes a throat note dull or a breath too long", "[remedy]")
{
    // Common practice, no source: a throat note is dull from 0.4 s beside the clarion, a breath at mf lasts
    // 18 s.
    Searched searched(
        "tempo 156 mf 1/16 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 E4 1/4 rest 1/4 D5_A4_D5 rest");
    const SpotRemedies spot = searched.of(Cause::tongue);
    const Line slower = at_share_of_tempo(searched.room.line(), 0.0, 4.0, 110.0 / 156.0);
    const Comparison c = searched.compared(slower, spot.found);
    CHECK(c.after.grade < spot.found.spot.grade);
    CHECK(c.worse_elsewhere);
    for (const Remedy& remedy : spot.remedies)
        if (remedy.idea.kind == ChangeKind::tempo)
            CHECK_FALSE(searched.compared(with_remedy(searched.room, spot, remedy).front(), spot.found)
                            .worse_elsewhere);
}
