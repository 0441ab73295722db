// SPDX-License-Identifier: MIT
// What another program gets through the C face, held against what the command line says of the same line.
#include "engine/report/spots_json.h"
#include "engine/telling/waived.h"
#include "engine/workbench/bench.h"
#include "tests/workbench/face.h"

#include <catch2/catch.hpp>

#include <atomic>
#include <cmath>
#include <set>
#include <thread>

using namespace canebrake;
using namespace canebrake::test;

namespace
{

// Two crossings of the break at a quick walk; the second figure comes twice.
const char* const crossing = "tempo 132 1/8 A4_B4_A4_B4 A4_B4_A4_B4 1/4 C5 rest";

} // namespace

TEST_CASE("the face says its own version and the program's", "[face]")
{
    CHECK(canebrake_face() == CANEBRAKE_FACE);
    CHECK(std::string(canebrake_version()).find('.') != std::string::npos);
}

TEST_CASE("a phrase opened through the face lists its one part", "[face]")
{
    Said opened;
    const OpenLine line = open_phrase("C5 D5 E5", &opened);
    REQUIRE(line);
    CHECK(opened.fault == CANEBRAKE_DONE);
    const auto json = opened.json();
    CHECK(json["schema"] == "canebrake-parts");
    REQUIRE(json["parts"].size() == 1);
    CHECK(json["parts"][0]["notes"] == 3);
    CHECK(said(canebrake_parts(line.get())).text == opened.text);
}

TEST_CASE("spots through the face are those of the C++ door", "[face]")
{
    const OpenLine line = open_phrase(crossing);
    REQUIRE(line);
    const Said answer = said(canebrake_spots(line.get(), R"({"pitch": "written"})", nullptr));
    REQUIRE(answer.fault == CANEBRAKE_DONE);
    CHECK(!answer.json()["parts"][0]["spots"].empty());

    LineRequest request;
    request.phrase = crossing;
    request.pitch = PitchBasis::written;
    const Bench bench = Bench::of_phrase(crossing);
    CHECK(answer.json()["line"]["phrase"] == crossing);
    CHECK(answer.text == spots_json(bench.spots(request), request, Grade::awkward));
}

TEST_CASE("accepted spots are counted and not told again", "[face]")
{
    const OpenLine line = open_phrase(crossing);
    const auto before = said(canebrake_spots(line.get(), R"({"pitch": "written"})", nullptr)).json();
    const auto& part = before["parts"][0];
    REQUIRE(!part["spots"].empty());
    WaivedList list;
    LineRequest request;
    request.pitch = PitchBasis::written;
    const SpotsReport report = Bench::of_phrase(crossing).spots(request);
    std::set<int> numbers;
    for (const SpotReport& spot : report.parts[0].spots)
        numbers.insert(spot.number);
    list.waive(report.parts[0], numbers, "");
    const std::string question = R"({"pitch": "written", "waived": )" + list.json() + "}";
    const auto after = said(canebrake_spots(line.get(), question.c_str(), nullptr)).json();
    CHECK(after["parts"][0]["spots"].empty());
    CHECK(after["parts"][0]["waived"] == report.parts[0].spots.size());
}

TEST_CASE("a sound is the same however it is fetched, and as long as it says", "[face]")
{
    const OpenLine line = open_phrase("tempo 120 C5 D5_E5");
    Said about;
    const OpenSound whole = open_sound(line, R"({"pitch": "written"})", &about);
    REQUIRE(whole);
    const auto samples = all_samples(whole.get(), 65536);
    CHECK(about.json()["samples"] == samples.size());
    CHECK(about.json()["rate"] == 48000.0);
    const OpenSound bits = open_sound(line, R"({"pitch": "written"})");
    CHECK(all_samples(bits.get(), 777) == samples);
    double sum = 0.0;
    for (const float sample : samples)
        sum += double(sample) * sample;
    CHECK(std::sqrt(sum / double(samples.size())) > 0.01);
    CHECK(canebrake_sound_read(whole.get(), nullptr, 0) == 0);
}

TEST_CASE("a sound outlives its line", "[face]")
{
    OpenLine line = open_phrase("C5");
    const OpenSound sound = open_sound(line, nullptr);
    line.reset();
    REQUIRE(sound);
    CHECK(all_samples(sound.get(), 4096).size() > 10000);
}

TEST_CASE("events of a measured sound name its notes", "[face]")
{
    const OpenLine line = open_phrase("tempo 120 C5 E5");
    const OpenSound sound = open_sound(line, R"({"pitch": "written", "measure": true})");
    REQUIRE(sound);
    all_samples(sound.get(), 4096);
    const Said events = said(canebrake_sound_events(sound.get()));
    REQUIRE(events.fault == CANEBRAKE_DONE);
    CHECK(events.json()["schema"] == "canebrake-events");
    CHECK(events.json()["notes"].size() == 2);

    const OpenSound plain = open_sound(line, nullptr);
    CHECK(said(canebrake_sound_events(plain.get())).fault == CANEBRAKE_USAGE);
}

TEST_CASE("a remedy is taken through the face, and the changed line is easier", "[face]")
{
    const OpenLine line = open_phrase(crossing);
    const char* const written = R"({"pitch": "written"})";
    const auto told = said(canebrake_remedies(line.get(), written, nullptr)).json();
    REQUIRE(told["schema"] == "canebrake-remedy");
    int spot = 0;
    for (const auto& one : told["spots"])
        if (spot == 0 && !one["remedies"].empty())
            spot = one["number"];
    REQUIRE(spot > 0);
    const std::string question = R"({"pitch": "written", "take": [")" + std::to_string(spot) + R"(.1"]})";
    canebrake_line* changed = nullptr;
    canebrake_line* second = nullptr;
    const Said taken = said(canebrake_take(line.get(), question.c_str(), nullptr, &changed, &second));
    const OpenLine first_player(changed), second_player(second);
    REQUIRE(taken.fault == CANEBRAKE_DONE);
    REQUIRE(first_player);
    const auto json = taken.json();
    CHECK(json["schema"] == "canebrake-taken");
    const auto trouble = [](const auto& counts) {
        return counts["awkward"].template get<int>() + 4 * counts["risky"].template get<int>() +
               20 * counts["unplayable"].template get<int>();
    };
    CHECK(trouble(json["after"]) < trouble(json["before"]));
    CHECK(said(canebrake_spots(changed, nullptr, nullptr)).fault == CANEBRAKE_DONE);
}

TEST_CASE("what was opened is saved as it came in", "[face]")
{
    const OpenLine line = open_phrase("C5 D5_E5");
    const Said page = said(canebrake_save(line.get(), R"({"pitch": "written"})", nullptr));
    REQUIRE(page.fault == CANEBRAKE_DONE);
    const OpenLine again = open_bytes(page.text, "page.musicxml");
    REQUIRE(again);
    CHECK(said(canebrake_save(again.get(), nullptr, nullptr)).text == page.text);
    const Said packed = said(canebrake_save(again.get(), R"({"packed": true})", nullptr));
    CHECK(packed.text.substr(0, 2) == "PK");
    const OpenLine unpacked = open_bytes(packed.text, "page.mxl");
    REQUIRE(unpacked);
    CHECK(said(canebrake_save(unpacked.get(), nullptr, nullptr)).text == page.text);
}

TEST_CASE("a comparison, a fingering and the family answer through the face", "[face]")
{
    const auto tones = said(canebrake_compare(
        nullptr, R"({"notes": ["E3", "C5"], "dynamics": ["mf"], "instruments": ["A"]})", nullptr));
    REQUIRE(tones.fault == CANEBRAKE_DONE);
    CHECK(tones.json()["schema"] == "canebrake-compare");
    const auto fingering = said(canebrake_fingering(R"({"notes": ["A4", "B4"]})"));
    REQUIRE(fingering.fault == CANEBRAKE_DONE);
    CHECK(fingering.json()["schema"] == "canebrake-fingering");
    const auto family = said(canebrake_instruments(nullptr));
    CHECK(family.json()["schema"] == "canebrake-instruments");
    CHECK(said(canebrake_instruments(R"({"instrument": "bass"})")).fault == CANEBRAKE_DONE);
    CHECK(said(canebrake_clarinets(open_phrase("C5 D5").get(), nullptr, nullptr)).json()["schema"] ==
          "canebrake-clarinets");
}

TEST_CASE("a watch hears progress and breaks the work off", "[face]")
{
    const OpenLine line = open_phrase(crossing);
    int calls = 0;
    canebrake_watch watch{&calls,
                          [](void* context, double done, double whole) {
                              *static_cast<int*>(context) += done <= whole ? 1 : 1000;
                          },
                          nullptr};
    CHECK(said(canebrake_remedies(line.get(), nullptr, &watch)).fault == CANEBRAKE_DONE);
    CHECK(calls >= 1);
    CHECK(calls < 1000);
    watch.stop = [](void*) { return 1; };
    CHECK(said(canebrake_remedies(line.get(), nullptr, &watch)).fault == CANEBRAKE_BROKEN_OFF);
    CHECK(said(canebrake_spots(line.get(), nullptr, &watch)).fault == CANEBRAKE_BROKEN_OFF);
}

TEST_CASE("one line may be asked by several threads at once", "[face]")
{
    const OpenLine line = open_phrase(crossing);
    const Said alone = said(canebrake_spots(line.get(), nullptr, nullptr));
    std::vector<Said> answers(4);
    std::vector<std::thread> threads;
    for (Said& answer : answers)
        threads.emplace_back([&] { answer = said(canebrake_spots(line.get(), nullptr, nullptr)); });
    for (std::thread& thread : threads)
        thread.join();
    for (const Said& answer : answers)
        CHECK(answer.text == alone.text);
}
