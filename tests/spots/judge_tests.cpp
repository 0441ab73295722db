// SPDX-License-Identifier: MIT
// What must hold of the judge on any line.
#include "tests/spots/judging.h"
#include "tests/spots/labelled.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <set>
#include <tuple>

using namespace canebrake;

namespace
{

Asked asked_of(const LabelledLine& line, bool listen)
{
    Asked asked;
    asked.phrase = line.phrase;
    asked.instrument = member_named(line.instrument)->name;
    asked.kit.level = line.player;
    asked.kit.reading = line.reading;
    asked.options.listen = listen;
    return asked;
}

/// Every n-th labelled line; those of minutes are left out, they say no more.
std::vector<LabelledLine> short_lines(std::size_t every = 1)
{
    std::size_t i = 0;
    auto lines = labelled_lines();
    std::erase_if(lines,
                  [&](const LabelledLine& line) { return line.phrase.size() > 300 || i++ % every != 0; });
    return lines;
}

std::string in_full(const Judging& judging)
{
    std::string text;
    for (const JudgedPart::Stretch& stretch : judging.part().stretches())
        for (const Spot& spot : stretch.spots)
            text += in_full(spot) + '\n';
    return text;
}

const std::string many_places =
    "tempo 132 f 1/16 E4_F4_G4_A4_ C5_E5_G5_C6_ C5_G4_E4_C4_ 1/8 D6_F4 rest 1/16 Ab5_C5_Eb5_C5_ 1/4 Ab5 "
    "accent Bb4 C5 pp 1/2 C#6 f 1/16 A4_D5_A4_D5_A4_D5_A4_ 1/4 D5";

/// Every place a spot stands for: cause and first note, with the hardest grade.
std::map<std::pair<Cause, std::size_t>, Grade> places(const std::vector<Spot>& spots)
{
    std::map<std::pair<Cause, std::size_t>, Grade> all;
    for (const Spot& spot : spots) {
        std::vector<std::size_t> begins = spot.again;
        begins.push_back(spot.from);
        for (const std::size_t from : begins) {
            Grade& grade = all[{spot.cause, from}];
            grade = worst(grade, spot.grade);
        }
    }
    return all;
}

/// The hardest grade of any spot over a note.
Grade grade_over(const std::vector<Spot>& spots, std::size_t note)
{
    Grade grade = Grade::easy;
    for (const Spot& spot : spots) {
        std::vector<std::size_t> begins = spot.again;
        begins.push_back(spot.from);
        for (const std::size_t from : begins)
            if (from <= note && note <= from + (spot.to - spot.from))
                grade = worst(grade, spot.grade);
    }
    return grade;
}

/// The hardest grade told of whatever the small notes of an ornament, or the one note, were printed as.
Grade grade_of_printed(const Judging& judging, const std::string& id)
{
    const Performed p = judging.performed();
    Grade grade = Grade::easy;
    for (std::size_t i = 0; i < p.size(); ++i)
        if (p.printed(i).source.id == id)
            grade = worst(grade, grade_over(judging.spots(), i));
    return grade;
}

bool stays(Cause cause)
{
    return cause == Cause::tongue || cause == Cause::breath || cause == Cause::range ||
           cause == Cause::entrance;
}

} // namespace

TEST_CASE("the same line is judged the same again", "[spots][law]")
{
    Asked asked;
    asked.phrase = many_places;
    asked.options.ideal = true;
    const Judging once(asked), again(asked);
    REQUIRE(once.spots().size() >= 6);
    CHECK(in_full(again) == in_full(once));
}

TEST_CASE("another thread changes no figure", "[spots][law]")
{
    Asked asked;
    asked.phrase = many_places;
    const Judging by_one(asked);
    asked.options.threads = 2;
    const Judging by_two(asked);
    CHECK(in_full(by_two) == in_full(by_one));
}

TEST_CASE("the ideal player's slurs have no dips where a person's are rough", "[spots][law]")
{
    std::size_t slurs = 0;
    for (const std::string& phrase :
         {many_places, std::string("tempo 160 mf 1/16 A4_E5 rest rest C6_C5 rest rest D6_F4 1/4 rest")}) {
        Asked asked;
        asked.phrase = phrase;
        asked.options.ideal = true;
        const Judging judging(asked);
        for (const Spot& spot : judging.spots()) {
            if (!spot.heard.dip_db)
                continue;
            CAPTURE(phrase, in_full(spot));
            REQUIRE(spot.ideal);
            REQUIRE(spot.ideal->dip_db);
            ++slurs;
            CHECK(spot.ideal->arrived);
            CHECK(*spot.ideal->dip_db < 1.0);
            CHECK(*spot.ideal->settle_ms < 20.0);
        }
    }
    CHECK(slurs >= 8);
}

TEST_CASE("listening makes verdicts harder, never easier", "[spots][law]")
{
    for (const LabelledLine& line : short_lines(8)) {
        const Judging by_rules(asked_of(line, false)), by_ear(asked_of(line, true));
        CAPTURE(line.name, by_rules.told(), by_ear.told());
        const auto heard = places(by_ear.spots());
        for (const auto& [place, grade] : places(by_rules.spots())) {
            // Where a rougher whole covers it, the part of it needs no telling.
            const auto found = heard.find(place);
            CHECK(worst(found == heard.end() ? Grade::easy : found->second,
                        grade_over(by_ear.spots(), place.second)) >= grade);
        }
    }
}

TEST_CASE("practice adds no spot, and gives no more tongue, air, compass or soft height", "[spots][law]")
{
    std::size_t kept = 0, eased = 0;
    for (const LabelledLine& line : short_lines(2)) {
        Asked asked = asked_of(line, false);
        asked.kit.reading = Reading::sight;
        const Judging sight(asked);
        auto before = places(sight.spots());
        for (const Reading reading : {Reading::rehearsed, Reading::prepared}) {
            asked.kit.reading = reading;
            const Judging practised(asked);
            CAPTURE(line.name, int(reading), sight.told(), practised.told());
            const auto after = places(practised.spots());
            for (const auto& [place, grade] : after)
                CHECK(before.count(place) == 1);
            for (const auto& [place, grade] : before) {
                const auto found = after.find(place);
                const Grade now = found == after.end() ? Grade::easy : found->second;
                if (stays(place.first))
                    CHECK(now == grade);
                else
                    CHECK(now <= grade);
                kept += stays(place.first);
                eased += now < grade;
            }
            before = after; // prepared against rehearsed
        }
    }
    CHECK(kept >= 40);
    CHECK(eased >= 40);
}

namespace
{

/// The learner finds every place at least as rough as the professional does.
void check_learner(const LabelledLine& line, std::size_t& compared)
{
    Asked asked = asked_of(line, false);
    asked.kit.level = Player::studio;
    const Judging studio(asked);
    asked.kit.level = Player::learner;
    const Judging learner(asked);
    CAPTURE(line.name, studio.told(), learner.told());
    const Performed p = studio.performed();
    // By printed note: a learner's trills have fewer small ones.
    for (const Spot& spot : studio.spots()) {
        ++compared;
        CHECK(grade_of_printed(learner, p.printed(spot.from).source.id) >= spot.grade);
    }
}

bool rocks_a4_c5(const LabelledLine& line)
{
    return line.name == "rocking-5" || line.name == "rocking-rehearsed-5";
}

} // namespace

TEST_CASE("where a professional finds it rough, a learner does", "[spots][law]")
{
    std::size_t compared = 0;
    for (const LabelledLine& line : short_lines(2))
        if (!rocks_a4_c5(line))
            check_learner(line, compared);
    CHECK(compared >= 60);
}

TEST_CASE("a learner rocks over the break no better than a professional", "[spots][law][!shouldfail]")
{
    // Known fault, the tag comes off with it: at 5.5 crossings a second the learner's plan takes the side
    // keys from A4 to C5, the professional's does not.
    std::size_t compared = 0;
    for (const LabelledLine& line : short_lines())
        if (rocks_a4_c5(line))
            check_learner(line, compared);
    CHECK(compared == 2);
}
