// SPDX-License-Identifier: MIT
#include "engine/plan/plan.h"
#include "tests/engine/known.h"

#include <catch2/catch.hpp>

using namespace canebrake;

namespace
{

std::vector<const Fingering*> planned(const std::vector<std::string>& names, bool slurred, bool prepares)
{
    std::vector<WrittenPitch> written;
    for (const auto& name : names)
        written.push_back({*pitch_number(name)});
    std::vector<bool> joined(written.size(), slurred);
    if (!joined.empty())
        joined.back() = false;
    std::vector<const Fingering*> result;
    for (const auto& choice : plan_fingerings(b_flat_soprano(), written, joined, prepares))
        result.push_back(choice.fingering == Choice::none ? nullptr
                                                          : &b_flat_soprano().fingerings[choice.fingering]);
    return result;
}

} // namespace

TEST_CASE("each finger, thumb or key that moves counts one", "[plan]")
{
    CHECK(fingers_moved("T L1 L2 L3", "T L1 L2 L3") == 0);
    CHECK(fingers_moved("T L1 L2 L3", "T L1 L2") == 1);
    CHECK(fingers_moved("", "T L1") == 2);
    CHECK(fingers_moved("T L1 R2", "R1 L1 T") == 2); // the order of words says nothing
    CHECK(fingers_moved("A", "R T L1 L2 L3 R1 R2 R3 E") == 10);
}

TEST_CASE("a note alone takes its primary fingering", "[plan]")
{
    for (int n = 52; n <= 91; ++n)
        for (const bool prepares : {false, true}) {
            const auto note = planned({pitch_name(n)}, false, prepares);
            REQUIRE(note[0] != nullptr);
            CAPTURE(note[0]->keys);
            CHECK(note[0]->primary);
            CHECK(note[0]->written.number == n);
        }
}

TEST_CASE("a note off the instrument has no fingering and its neighbours keep theirs", "[plan]")
{
    const auto notes = planned({"C4", "D#3", "C#7", "C4"}, false, true);
    CHECK(notes[0] != nullptr);
    CHECK(notes[1] == nullptr);
    CHECK(notes[2] == nullptr);
    CHECK(notes[3] == notes[0]);
    CHECK(planned({}, false, true).empty());
}

TEST_CASE("over the break a player who prepares lays the right hand down early, a learner does not", "[plan]")
{
    // Common practice, no source: for A4 or B-flat4 to B4 keep right-hand fingers down on the throat note.
    const auto prepared = planned({"A4", "B4"}, true, true);
    const auto plain = planned({"A4", "B4"}, true, false);
    CHECK(fingers_moved(prepared[0]->keys, prepared[1]->keys) <
          fingers_moved(plain[0]->keys, plain[1]->keys));
    CHECK_THAT(prepared[0]->keys, Catch::Contains("R1 R2 R3"));
    CHECK(plain[0]->primary);
}

TEST_CASE("no finger goes up while another comes down, if a sliver key saves it", "[plan]")
{
    // Common practice, no source: A-sharp3 – B3 and F5 – F-sharp5 back and forth by the right-hand sliver
    // key, which moves one finger.
    const KnownShortfalls known{};
    for (const auto& [from, to] : {std::pair{"A#3", "B3"}, std::pair{"F5", "F#5"}}) {
        const auto notes = planned({from, to, from, to, from}, true, true);
        const int moved = fingers_moved(notes[0]->keys, notes[1]->keys);
        hold(std::string(from) + " " + to, moved, moved - 1.0, known);
    }
}

TEST_CASE("the same line is planned the same way twice", "[plan]")
{
    const std::vector<std::string> line{"G4", "A4", "B4", "C5", "A#4", "D#4", "F#5", "F5"};
    CHECK(planned(line, true, true) == planned(line, true, true));
}
