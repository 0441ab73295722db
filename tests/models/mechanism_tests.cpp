// SPDX-License-Identifier: MIT
#include "models/units/input_error.h"
#include "tests/models/plain_bores.h"

#include <catch2/catch.hpp>

#include <bit>

using namespace canebrake;

namespace
{

/// Open holes as the source numbers them, 1 (register vent) to 24 (lowest pad).
HoleState holes(std::initializer_list<int> numbers)
{
    HoleState state;
    for (const int number : numbers)
        state.open |= 1u << (number - 1);
    return state;
}

constexpr std::uint32_t vent_bit = 1u << boehm_vent;

} // namespace

TEST_CASE("low E shuts everything and open G leaves nothing to the fingers", "[mechanism][outside]")
{
    // Common practice, no source.
    CHECK(boehm_holes("T L1 L2 L3 R1 R2 R3 E").open == 0);
    CHECK(boehm_holes(primary("E3").keys).open == 0);
    CHECK(primary("G4").keys.empty());
    CHECK(std::popcount(boehm_holes("").open) == 12);
    CHECK(b_flat_soprano().geometry.holes.size() == boehm_hole_count); // 24 with the register hole
}

TEST_CASE("holes open as the published patterns of a Boehm clarinet", "[mechanism][outside]")
{
    // Six of 46 patterns of a public transcription crediting M. Pàmies-Vilà, PhD, Vienna 2021.
    CHECK(boehm_holes(primary("F#3").keys) == holes({23, 24}));
    CHECK(boehm_holes(primary("B3").keys) == holes({17, 20, 22, 24}));
    CHECK(boehm_holes(primary("C#4").keys) == holes({15, 16, 17, 19, 20, 22, 24}));
    CHECK(boehm_holes(primary("E4").keys) == holes({10, 11, 14, 16, 17, 19, 20, 22, 24}));
    CHECK(boehm_holes(primary("D#5").keys) == holes({1, 21, 22, 24}));
    CHECK(boehm_holes(primary("D6").keys) == holes({1, 9, 19, 20, 21, 22, 24}));
}

TEST_CASE("the register key alone makes the twelfth", "[mechanism][outside]")
{
    // Common practice, no source: E3→B4 to F4→C6, the same fingers a twelfth higher.
    for (int low = 52; low <= 65; ++low) {
        const auto& chalumeau = *b_flat_soprano().primary({low});
        const auto& clarion = *b_flat_soprano().primary({low + 19});
        CAPTURE(pitch_name(low));
        CHECK(clarion.keys == "R " + chalumeau.keys);
        CHECK(clarion.holes == chalumeau.holes);
        CHECK(chalumeau.vent == 0.0);
        CHECK(clarion.vent == 1.0);
        CHECK((boehm_holes(clarion.keys).open ^ boehm_holes(chalumeau.keys).open) == vent_bit);
    }
}

TEST_CASE("crossing the break from A4 to B4 shuts all that was open and opens only the vent",
          "[mechanism][outside]")
{
    // Common practice, no source.
    const auto before = boehm_holes(primary("A4").keys), after = boehm_holes(primary("B4").keys);
    CHECK(after.open == vent_bit);
    CHECK(std::popcount(before.open) >= 12);
    CHECK((before.open & vent_bit) == 0);
}

TEST_CASE("the bridge shuts the upper pad when a right-hand ring goes down", "[mechanism][outside]")
{
    // Common practice, no source: "one and one" for B flat and E flat.
    const std::uint32_t bridge = 1u << 9, right_pad = 1u << 15;
    CHECK((boehm_holes("T L1").open & bridge) != 0);
    for (const char* keys : {"T L1 R1", "T L1 R2", "T L1 R3", "T L1 L2"}) {
        CAPTURE(keys);
        CHECK((boehm_holes(keys).open & bridge) == 0);
    }
    CHECK((boehm_holes("T L1 L2 L3").open & right_pad) != 0);
    CHECK((boehm_holes("T L1 L2 L3 R2").open & right_pad) == 0);
}

TEST_CASE("each key moves the pads it is linked to", "[mechanism][outside]")
{
    // Common practice, no source.
    const std::string all = "T L1 L2 L3 R1 R2 R3";
    const auto moved = [&](const std::string& key) {
        return boehm_holes(all + " " + key).open ^ boehm_holes(all).open;
    };
    CHECK(moved("CS") == holes({15}).open);
    CHECK(moved("AE") == holes({21}).open);
    CHECK(moved("F") == holes({22}).open);
    CHECK(moved("FS") == holes({22, 23}).open); // opens its own pad, shuts the F/C pad
    CHECK(moved("E") == holes({22, 24}).open);
    CHECK(moved("A") == holes({4, 5}).open); // the A key lifts the A flat pad along
    CHECK(moved("Ab") == holes({5}).open);
    CHECK(moved("RS") == holes({18}).open);
    CHECK(moved("R") == vent_bit);
    // The ring of the thumb or of the first finger is enough to shut the small upper pad.
    CHECK((boehm_holes("").open & holes({6}).open) != 0);
    CHECK((boehm_holes("T").open & holes({6}).open) == 0);
    CHECK((boehm_holes("L1").open & holes({6}).open) == 0);
}

TEST_CASE("the order of keys does not matter and an unknown key is named", "[mechanism]")
{
    CHECK(boehm_holes("R3 E T L2 L1 L3 R2 R1") == boehm_holes("T L1 L2 L3 R1 R2 R3 E"));
    CHECK(boehm_holes("  T   L1 ") == boehm_holes("T L1"));
    CHECK_THROWS_WITH(boehm_holes("T L4"), Catch::Matchers::Contains("'L4'"));
    CHECK_THROWS_AS(boehm_holes("t"), InputError);
}

TEST_CASE("the holes do not care which little finger holds a key", "[mechanism][outside]")
{
    // Common practice, no source: E/B, F/C and F sharp/C sharp lie under both little fingers.
    for (const char* key : {"E", "F", "FS"})
        for (const char* hand : {":l", ":r"}) {
            const std::string low = std::string("T L1 L2 L3 R1 R2 R3 ") + key;
            CAPTURE(low, hand);
            CHECK(boehm_holes(low + hand) == boehm_holes(low));
        }
    // C sharp/G sharp is the left hand's alone, A flat/E flat the right's; no other key has a hand to name.
    for (const char* keys : {"CS:r", "CS:l", "AE:r", "L1:l", "E:", "E:x", ":l"})
        CHECK_THROWS_WITH(boehm_holes(keys), Catch::Matchers::Contains(std::string("'") + keys + "'"));
}

TEST_CASE("the left A flat lever is there only where it was built", "[mechanism][outside]")
{
    // Common practice, no source: an extra of some instruments.
    const Mechanism lever{.left_a_flat_lever = true};
    CHECK_THROWS_AS(boehm_holes("T L1 L2 L3 R1 R2 R3 AE:l"), InputError);
    CHECK(boehm_holes("T L1 L2 L3 R1 R2 R3 AE:l", lever) == boehm_holes("T L1 L2 L3 R1 R2 R3 AE"));
}

TEST_CASE("an articulated C sharp stays shut under a right-hand ring and makes the B to C sharp trill",
          "[mechanism][outside]")
{
    // Common practice, no source: with the key held, a right-hand finger alone makes C sharp and back.
    const Mechanism articulated{.articulated_c_sharp = true};
    for (const char* ring : {"R1", "R2", "R3"}) {
        const std::string under = std::string("T L1 L2 L3 ") + ring;
        CAPTURE(ring);
        CHECK(boehm_holes(under + " CS", articulated) == boehm_holes(under));
        CHECK(boehm_holes(under + " CS") != boehm_holes(under));
    }
    CHECK(boehm_holes("T L1 L2 L3 CS", articulated) == boehm_holes(primary("C#4").keys));
}
