// SPDX-License-Identifier: MIT
// Whatever is fed to the C face, it answers: with one of its faults and a text, never by going down.
#include "tests/workbench/face.h"

#include <catch2/catch.hpp>

#include <array>
#include <fstream>
#include <random>
#include <sstream>

using namespace canebrake::test;

namespace
{

void is_an_answer(const Said& said)
{
    CHECK(said.fault >= CANEBRAKE_BROKEN_OFF);
    CHECK(said.fault <= CANEBRAKE_OFF_RANGE);
    CHECK(said.fault != CANEBRAKE_INTERNAL);
    CHECK(!said.text.empty());
}

bool is_utf8(const std::string& text)
{
    try {
        return !nlohmann::json(text).dump().empty();
    } catch (const nlohmann::json::exception&) {
        return false;
    }
}

std::string file(const std::string& name)
{
    std::ifstream in(std::string(CANEBRAKE_SOURCE_DIR) + "/" + name, std::ios::binary);
    std::ostringstream bytes;
    bytes << in.rdbuf();
    return bytes.str();
}

/// One to eight bytes changed, left out or put in, or the rest cut off.
std::string spoilt(std::string bytes, std::mt19937& random)
{
    const auto below = [&](std::size_t n) {
        return std::uniform_int_distribution<std::size_t>(0, n - 1)(random);
    };
    for (std::size_t times = 1 + below(8); times > 0 && !bytes.empty(); --times)
        switch (below(4)) {
        case 0:
            bytes[below(bytes.size())] = char(below(256));
            break;
        case 1:
            bytes.erase(below(bytes.size()), 1 + below(16));
            break;
        case 2:
            bytes.insert(below(bytes.size()), 1, char(below(256)));
            break;
        default:
            if (below(4) == 0)
                bytes.resize(below(bytes.size()));
        }
    return bytes;
}

} // namespace

TEST_CASE("null everywhere is answered", "[face][hostile]")
{
    is_an_answer(said(canebrake_open(nullptr, 0, nullptr, nullptr)));
    is_an_answer(said(canebrake_open_phrase(nullptr, nullptr)));
    is_an_answer(said(canebrake_parts(nullptr)));
    is_an_answer(said(canebrake_spots(nullptr, nullptr, nullptr)));
    is_an_answer(said(canebrake_remedies(nullptr, nullptr, nullptr)));
    is_an_answer(said(canebrake_clarinets(nullptr, nullptr, nullptr)));
    is_an_answer(said(canebrake_take(nullptr, nullptr, nullptr, nullptr, nullptr)));
    is_an_answer(said(canebrake_fingering(nullptr)));
    is_an_answer(said(canebrake_save(nullptr, nullptr, nullptr)));
    is_an_answer(said(canebrake_sound_open(nullptr, nullptr, nullptr)));
    is_an_answer(said(canebrake_sound_events(nullptr)));
    CHECK(canebrake_sound_read(nullptr, nullptr, 0) == -1);
    canebrake_close(nullptr);
    canebrake_sound_close(nullptr);
    canebrake_free(nullptr);
    canebrake_answer once = canebrake_instruments(nullptr);
    canebrake_free(&once);
    canebrake_free(&once);
    CHECK(once.text == nullptr);
}

TEST_CASE("a question that makes no sense is refused by its field", "[face][hostile]")
{
    const OpenLine line = open_phrase("C5");
    struct Case {
        const char *question, *says;
    };
    const std::string deep = R"({"tempo": )" + std::string(100000, '[') + std::string(100000, ']') + "}";
    const std::array<Case, 17> cases{{{"{", "no JSON"},
                                      {deep.c_str(), "lists in lists"},
                                      {R"({"instrument": "Bb"})", "B-flat"},
                                      {R"({"spot": 1.5})", "a whole number"},
                                      {R"({"take": ["01.1"]})", "take"},
                                      {R"({"instruments": ["A"]})", "instruments"},
                                      {"[]", "wanted an object"},
                                      {R"({"temp": 3})", "temp"},
                                      {R"({"tempo": "fast"})", "tempo: found \"fast\""},
                                      {R"({"tempo": 1e99})", "10 to 400"},
                                      {R"({"instrument": "oboe"})", "instrument: found \"oboe\""},
                                      {R"({"player": "me"})", "ideal, studio, learner"},
                                      {R"({"from_bar": 5, "to_bar": 2})", "to_bar"},
                                      {R"({"seed": -1})", "seed"},
                                      {R"({"take": ["x"]})", "take"},
                                      {R"({"waived": []})", "waived"},
                                      {R"({"most": 13})", "1 to 12"}}};
    for (const Case& c : cases) {
        INFO(c.question);
        const Said answer = said(canebrake_spots(line.get(), c.question, nullptr));
        CHECK(answer.fault == CANEBRAKE_USAGE);
        CHECK(answer.text.find(c.says) != std::string::npos);
        CHECK(answer.text.find('\n') == std::string::npos);
    }
    CHECK(said(canebrake_fingering(R"({"notes": ["H9"]})")).fault == CANEBRAKE_USAGE);
    for (const char* question : {R"({"instruments": ["A", "A"]})", R"({"on": "A"})", R"({"notes": ["A4"]})"})
        CHECK(said(canebrake_compare(line.get(), question, nullptr)).fault == CANEBRAKE_USAGE);
    CHECK(said(canebrake_compare(nullptr, R"({"notes": ["A4"], "part": "1"})", nullptr)).fault ==
          CANEBRAKE_USAGE);
    CHECK(said(canebrake_save(line.get(), R"({"seed": 2.0})", nullptr)).fault == CANEBRAKE_DONE);
    CHECK(said(canebrake_fingering(R"({"notes": ["C8"]})")).fault == CANEBRAKE_OFF_RANGE);
}

TEST_CASE("a score of several parts asks for a choice", "[face]")
{
    Said opened;
    const OpenLine line = open_bytes(file("assets/scores/quartet.musicxml"), "quartet.musicxml", &opened);
    REQUIRE(line);
    CHECK(opened.json()["parts"].size() == 4);
    CHECK(said(canebrake_remedies(line.get(), nullptr, nullptr)).fault == CANEBRAKE_NEEDS_CHOICE);
}

TEST_CASE("names and words of any bytes come back as UTF-8", "[face][hostile]")
{
    Said opened;
    const OpenLine line = open_bytes("no music", "\xff\xfe name \xc3", &opened);
    CHECK(!line);
    CHECK(opened.fault == CANEBRAKE_UNREADABLE);
    CHECK(is_utf8(opened.text));
    const OpenLine phrase = open_phrase("C5 \xff", &opened);
    CHECK(!phrase);
    CHECK(opened.fault == CANEBRAKE_USAGE);
    CHECK(is_utf8(opened.text));
    // A name that is no UTF-8 may not spoil the JSON of the answer.
    const OpenLine named = open_bytes(file("assets/scores/solo.musicxml"), "\xff.musicxml", &opened);
    REQUIRE(named);
    CHECK(nlohmann::json::accept(opened.text));
    CHECK(nlohmann::json::accept(said(canebrake_parts(named.get())).text));
}

TEST_CASE("spoilt files, phrases and questions are answered", "[face][hostile]")
{
    std::mt19937 random(20261201);
    const std::array<std::string, 3> files{file("assets/scores/solo.musicxml"),
                                           file("assets/scores/solo.mxl"), file("assets/scores/solo.mid")};
    for (const std::string& bytes : files) {
        REQUIRE(!bytes.empty());
        for (int i = 0; i < 60; ++i) {
            Said opened;
            const OpenLine line = open_bytes(spoilt(bytes, random), "spoilt", &opened);
            is_an_answer(opened);
            CHECK((line != nullptr) == (opened.fault == CANEBRAKE_DONE));
            if (line && i % 15 == 0)
                is_an_answer(said(canebrake_save(line.get(), R"({"format": "midi", "part": "1"})", nullptr)));
        }
    }
    const std::string phrase = "tempo 96 meter 3/4 p grow 1/8 A4_B4_C5 trill half 1/4 D5 f bar 1/12 Bb3_ C4 "
                               "D4_E4 by T+L1 1/4 A4 breath rest";
    const std::string question =
        R"({"pitch": "written", "from_bar": 1, "to_bar": 2, "tempo": 96.5, "a4": 442,)"
        R"( "take": ["1.1"], "waived": {"schema": "canebrake-waived", "version": 1,)"
        R"( "waived": [], "seen": []}, "kit": "double_tongue = true"})";
    const OpenLine whole = open_phrase("tempo 120 1/16 C5 D5 E5 F5");
    for (int i = 0; i < 300; ++i) {
        Said opened;
        const OpenLine line = open_phrase(spoilt(phrase, random), &opened);
        is_an_answer(opened);
        is_an_answer(said(canebrake_save(whole.get(), spoilt(question, random).c_str(), nullptr)));
    }
}
