// SPDX-License-Identifier: MIT
#include "cli/audio/device.h"
#include "cli/commands/play/bars.h"
#include "cli/commands/play/keys.h"
#include "cli/commands/play/screen.h"
#include "engine/files/phrase/read_phrase.h"
#include "engine/part/choose_part.h"
#include "tests/support/said.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <sstream>

using namespace canebrake;
using namespace canebrake::test;

namespace
{

std::vector<Ask> asks(KeyReader& reader, const std::string& bytes)
{
    std::vector<Ask> all;
    for (const Key& key : reader.read(bytes))
        all.push_back(key.ask);
    return all;
}

std::vector<SoundDevice> three_devices()
{
    return {{"pulse", "Built-in speakers", 0, 2, false, {44100, 48000, 96000}},
            {"pulse", "Headphones", 1, 2, true, {44100, 96000}},
            {"alsa", "Headphones left of the desk", 0, 1, true, {8000, 22050}}};
}

std::string device_error(const std::vector<SoundDevice>& devices, const std::string& wanted)
{
    try {
        return "chose " + choose_device(devices, wanted).name;
    } catch (const DeviceError& error) {
        return error.what();
    }
}

} // namespace

TEST_CASE("the help of play warns of loudness and tells every key, in 80 columns", "[play][words]")
{
    const Said said = canebrake_says({"play", "--help"});
    CHECK(said.code == 0);
    for (const char* const word :
         {"Your ears", "12 dB", "silence at once", "--device", "--list-devices", "--record", "--loop",
          "--from-bar", "--bars", "--tempo", "--gain", "Ctrl-C", "learner"})
        CHECK_THAT(said.out, Catch::Contains(word));
    const std::size_t ours = said.out.find("Where it sounds"); // before: the options of every line
    REQUIRE(ours != std::string::npos);
    std::istringstream lines(said.out.substr(ours));
    for (std::string line; std::getline(lines, line);) {
        CAPTURE(line);
        CHECK(std::count_if(line.begin(), line.end(), [](char c) { return (c & 0xC0) != 0x80; }) <= 80);
    }
    CHECK_THAT(canebrake_says({"--help"}).out,
               Catch::Contains("8  play: there is no sound device, or it failed"));
}

TEST_CASE("words that play cannot mean are refused in one line before anything sounds", "[play][words]")
{
    const std::vector<std::pair<std::vector<std::string>, std::string>> refused{
        {{"--gain", "3"}, "--gain: found '3', wanted -60 to 0 decibels"},
        {{"--gain", "loud"}, "--gain: found 'loud'"},
        {{"--delay", "5"}, "--delay: found '5', wanted 20 to 500 milliseconds"},
        {{"--rate", "48000.5"}, "--rate: found '48000.5'"},
        {{"--rate", "8000"}, "--rate: found '8000', wanted 44100 to 192000"},
        {{"--loop", "9-4"}, "--loop: found '9-4', wanted first and last bar"},
        {{"--from-bar", "4-9"}, "--from-bar: found '4-9', wanted a bar's printed number"},
        {{"--record", "out.mp3"}, "--record: found 'out.mp3', wanted a file name that ends in .wav"},
        {{"--room", "vast"}, "--room: found 'vast'"},
        {{"--device", ""}, "--device: found ''"},
    };
    for (const auto& [words, text] : refused) {
        std::vector<std::string> args{"play", "--phrase", "G4"};
        args.insert(args.end(), words.begin(), words.end());
        const Said said = canebrake_says(args);
        CAPTURE(said.err);
        CHECK(said.code == 2);
        CHECK(said.out.empty());
        CHECK(std::count(said.err.begin(), said.err.end(), '\n') == 1);
        CHECK_THAT(said.err, Catch::Contains(text));
    }
    CHECK(canebrake_says({"play"}).code == 2);
    CHECK(canebrake_says({"play", "no such file.musicxml"}).code == 3);
}

TEST_CASE("a device is chosen by number, name or a part of it that only one has", "[play][device]")
{
    const auto devices = three_devices();
    CHECK(device_error(devices, "") == "chose Headphones"); // the usual one of the system that is asked first
    CHECK(device_error(devices, "1") == "chose Built-in speakers");
    CHECK(device_error(devices, "Headphones") == "chose Headphones"); // whole, although part of another's
    CHECK(device_error(devices, "SPEAK") == "chose Built-in speakers");
    CHECK(device_error(devices, "desk") == "chose Headphones left of the desk");
    CHECK_THAT(device_error(devices, "phones"), Catch::Contains("is part of several names"));
    CHECK_THAT(device_error(devices, "tuba"),
               Catch::Contains("'tuba', which no device is called") && Catch::Contains("2 'Headphones'"));
    CHECK_THAT(device_error(devices, "4"), Catch::Contains("no device is called"));
    CHECK_THAT(device_error({}, ""), Catch::Contains("found no sound device"));
    CHECK_THAT(device_error({}, "1"), Catch::Contains("found no sound device"));
}

TEST_CASE("a device that has no 48 kHz is played at the nearest rate it has", "[play][device]")
{
    const auto devices = three_devices();
    CHECK(choose_rate(devices[0], {}).value == 48000.0);
    CHECK(choose_rate(devices[1], {}).value == 44100.0);
    CHECK(choose_rate(devices[0], 96000).value == 96000.0);
    CHECK_THROWS_WITH(choose_rate(devices[1], 48000), Catch::Contains("--rate: found 48000") &&
                                                          Catch::Contains("wanted one of: 44100, 96000"));
    CHECK_THROWS_AS(choose_rate(devices[2], {}), DeviceError); // too slow for the instrument
}

TEST_CASE("each key asks for one thing, however a terminal spells it", "[play][keys]")
{
    KeyReader reader;
    using enum Ask;
    CHECK(asks(reader, " wpfislct:q") == std::vector<Ask>{pause_or_go, as_written, softer, louder, ideal,
                                                          studio, learner, next_clarinet, tacet, round, end});
    CHECK(asks(reader, "\033[C\033[D\033[A\033[B\033OC") ==
          std::vector<Ask>{bar_on, bar_back, quicker, slower, bar_on});
    CHECK(asks(reader, "\033").empty()); // in two pieces
    CHECK(asks(reader, "[").empty());
    CHECK(asks(reader, "C") == std::vector<Ask>{bar_on});
    CHECK(asks(reader, "\033t") == std::vector<Ask>{tacet}); // Escape by mistake, then silence
    CHECK(asks(reader, "\033[5~x\tt") == std::vector<Ask>{tacet});
}

TEST_CASE("a typed number goes to a bar, two repeat a stretch, another key takes them back", "[play][keys]")
{
    KeyReader reader;
    CHECK(reader.read("2").empty());
    CHECK(reader.typing() == "2");
    const auto keys = reader.read("4\r");
    REQUIRE(keys.size() == 1);
    CHECK(keys[0].ask == Ask::to_bars);
    CHECK(keys[0].typed == "24");
    CHECK(reader.read("12-1x\x7f").empty()); // x is no key and takes the number back
    CHECK(reader.typing().empty());
    CHECK(reader.read("12-145\x7f\n").at(0).typed == "12-14");
    CHECK(reader.read("\n").empty());
    CHECK(reader.read("7 ").at(0).ask == Ask::pause_or_go);
    CHECK(reader.typing().empty());
}

TEST_CASE("bars are found by their printed number, forwards and back", "[play][bars]")
{
    const Line line = choose_part(read_phrase("meter 3/4 1/4 G4 A4 B4 bar C5 D5 E5 bar 3/4 F5 bar G5"), "");
    REQUIRE(line.bars.size() == 4);
    const Bars bars(line);
    const auto number = [&](double quarter) { return bars.at(quarter).bar->number; };
    CHECK(number(0.0) == line.bars[0].number);
    CHECK(number(2.99) == line.bars[0].number);
    CHECK(number(3.0) == line.bars[1].number);
    CHECK(bars.at(4.0).beat == Approx(2.0).margin(1e-5));
    const int second = std::stoi(line.bars[1].number), third = std::stoi(line.bars[2].number);
    CHECK(bars.start_of(second) == 3.0);
    CHECK_FALSE(bars.start_of(77));
    CHECK(bars.stretch(second, third) == std::pair{3.0, 9.0});
    CHECK_FALSE(bars.stretch(third, second));
    CHECK(bars.after(3.0) == 6.0);
    CHECK(bars.after(2.9) == 3.0);
    CHECK_FALSE(bars.after(10.0));
    CHECK(bars.before(5.0) == 3.0); // to the beginning of this bar
    CHECK(bars.before(3.5) == 0.0); // only just begun: the one before
    CHECK(bars.before(0.5) == 0.0);
    CHECK(bar_numbers("12-14") == std::pair{12, 14});
    CHECK(bar_numbers("0") == std::pair{0, 0});
    for (const char* const none : {"", "-", "12-", "-3", "14-12", "1-2-3", "x", "99999999999"})
        CHECK_FALSE(bar_numbers(none));
}

TEST_CASE("the transport line tells bar, beat, note and fingers in 80 columns", "[play][words]")
{
    Transport t;
    t.bar = "12";
    t.beat = 3.7;
    t.written = "Bb4";
    t.fingering = "R T L1 L2 L3 R1 R2 R3 E:l";
    t.tempo = 96.0;
    t.player = "studio";
    t.instrument = "B-flat";
    t.gain_db = -12.0;
    const std::string line = transport_line(t, 80);
    CAPTURE(line);
    for (const char* const word :
         {"bar 12", "beat 3", "Bb4", "R T L1 L2 L3 R1 R2 R3 E:l", "96 studio B-flat", "-12 dB"})
        CHECK_THAT(line, Catch::Contains(word));
    t.state = "paused";
    t.round = "12-14";
    t.coming = "bar 14 little-finger";
    t.late = 3;
    t.instrument = "basset-clarinet";
    for (const int columns : {1, 20, 40, 80, 81, 121, 400})
        CHECK(transport_line(t, columns).size() <= std::size_t(columns - 1));
    CHECK_THAT(transport_line(t, 80), Catch::Contains("paused"));
    CHECK_THAT(transport_line(t, 121), Catch::Contains("3 late") && Catch::Contains("|:12-14:|") &&
                                           Catch::Contains("bar 14 little-finger"));
    CHECK(transport_line(t, 0).empty());
}
