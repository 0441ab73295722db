// SPDX-License-Identifier: MIT
// Long lines, and MIDI files that say little, before `canebrake spots`. Times are printed, not judged.
#include "tests/cli/spots_support.h"

#include "tests/support/midi_bytes.h"

#include <chrono>
#include <iostream>

using namespace canebrake;
using namespace canebrake::test;
using Catch::Contains;
using nlohmann::json;

namespace
{

/// A clarinet's MIDI file without one overlap: nobody says what is slurred.
std::string midi_of(const std::vector<int>& keys, std::uint32_t ticks)
{
    std::string messages = meta(0, 0x51, bytes({0x07, 0xA1, 0x20})) + meta(0, 0x58, bytes({4, 2, 24, 8})) +
                           meta(0, 0x03, "Clarinet") + message(0, {0xC0, 71});
    int velocity = 60;
    for (const int key : keys)
        messages += note(0, key, ticks, 0, velocity = velocity == 60 ? 61 : 60);
    return header(0, 1, 96) + track(messages);
}

} // namespace

TEST_CASE("a MIDI file without slurs is judged both ways, with one statement and one spot for the tongue",
          "[spots][midi]")
{
    const Folder folder;
    // Sounding F4 and C5 (written G4 and D5) to and fro three times a second: awkward slurred, easy tongued.
    std::vector<int> keys;
    for (int i = 0; i < 64; ++i)
        keys.push_back(i % 2 == 0 ? 65 : 72);
    const json slow = spots_json_of({folder.put("rocking.mid", midi_of(keys, 64))});
    REQUIRE(slow["parts"].size() == 1);
    const auto statements = [](const json& report) {
        std::size_t count = 0;
        for (const json& line : report["parts"][0]["assumed"])
            count += line.get<std::string>().find("no slurs") != std::string::npos;
        return count;
    };
    CHECK(statements(slow) == 1);
    CHECK(first_of(slow, "rocking")["if"] == "slurred");

    // Sixteen bars of sixteen strokes a second: nobody's single tongue.
    std::vector<int> repeated;
    for (int bar = 0; bar < 16; ++bar)
        repeated.insert(repeated.end(), 32, 60 + bar % 5);
    const json fast = spots_json_of({folder.put("repeated.mid", midi_of(repeated, 12))});
    CHECK(count_cause(fast, "tongue") == 1);
    CHECK(first_of(fast, "tongue")["if"] == "tongued");
    CHECK(first_of(fast, "tongue")["grade"] == "unplayable");
    CHECK(statements(fast) == 1);
    CHECK_THAT(spots_says({folder / "repeated.mid"}).out, Contains("Not playable if tongued: "));
}

TEST_CASE("a line of ten thousand notes is judged", "[spots][long]")
{
    std::vector<int> keys;
    for (int i = 0; i < 10000; ++i)
        keys.push_back(60 + (i * 7 + i / 13) % 24);
    const Folder folder;
    const std::string line = folder.put("long.mid", midi_of(keys, 24));
    const auto start = std::chrono::steady_clock::now();
    const json report = spots_json_of({line});
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    std::cout << "spots, 10,000 random notes without a slur: " << seconds << " s, "
              << all_spots(report).size() << " spots\n";
    CHECK(report["parts"][0]["bars_with_notes"] == 625);
}

TEST_CASE("a part of five hundred idiomatic bars: its time is told, and it is not nagged at", "[spots][long]")
{
    // Scales in easy keys, broken chords inside a register, slow lines: what clarinets are written for.
    const std::vector<std::string> bars{notes("(C5:2 D5:2 E5:2 F5:2 G5:2 A5:2 G5:2 F5:2)"),
                                        notes("(E5 G5) (F5 D5)"),
                                        notes("(G5:2 F5:2 E5:2 D5:2 C5:2 B4:2 A4:2 G4:2)"),
                                        notes("(C5:8 D5:8)"),
                                        notes("(E3:2 G3:2 C4:2 E4:2 C4:2 G3:2 E3:2 G3:2)"),
                                        notes("F3:2 A3:2 C4:2 F4:2 E4:4 C4:4"),
                                        notes("(G4 A4 B4 C5)"),
                                        notes("-:4 G5:2 E5:2 (C5:4 D5:4)"),
                                        notes("(C5:1 D5:1 E5:1 F5:1 G5:1 F5:1 E5:1 D5:1) C5:4 G4:4"),
                                        notes("(A5:6 G5:2 F5:4 E5:4)"),
                                        notes("(B4:12 C5:4)")};
    std::vector<std::string> all;
    for (int i = 0; i < 500; ++i)
        all.push_back((i % 40 == 0 ? dynamic(i % 80 == 0 ? "p" : "mf") : "") +
                      bars[std::size_t(i * 5 + i / 12) % 11]);
    const Folder folder;
    const std::string line = folder.put("part.musicxml", score_text({{"Clarinet", all}}, 104));
    for (const char* run : {"first run", "second run"}) {
        const auto start = std::chrono::steady_clock::now();
        const json report = spots_json_of({line});
        const double seconds =
            std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
        std::size_t places = 0;
        for (const json& spot : all_spots(report))
            places += spot["times"].get<std::size_t>();
        const json& part = report["parts"][0];
        std::cout << "spots, 500 idiomatic bars, " << run << ": " << seconds << " s; " << part["risky"]
                  << " risky and " << part["awkward"] << " awkward spots, in " << places << " places\n";
        REQUIRE(report["parts"][0]["bars_with_notes"] == 500);
        CHECK(report["parts"][0]["playable"]);
        // The nag budget (common practice, no source): 2 risky and 6 awkward in 100 bars, as they are told.
        CHECK(part["risky"] <= 10);
        CHECK(part["awkward"] <= 30);
    }
}
