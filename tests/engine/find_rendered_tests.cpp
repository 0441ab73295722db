// SPDX-License-Identifier: MIT
// Notes found in what our own players play, against what they were told, and against aubio.
#include "cli/audio/wav_file.h"
#include "tests/engine/found.h"
#include "tests/engine/rendered.h"

#include <catch2/catch.hpp>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <unistd.h>

using namespace canebrake;
namespace fs = std::filesystem;

namespace
{
std::vector<Told> told(const Rendered& line)
{
    std::vector<Told> notes;
    for (const PlannedNote& note : line.notes)
        if (!note.silent)
            notes.push_back(
                {note.tongued ? std::max(note.start_s, note.stroke_s) : note.start_s, note.target_hz});
    return notes;
}

Tally heard(const std::string& phrase, const RenderSettings& settings)
{
    const auto line = rendered(phrase, settings);
    const auto found = find_notes(line.audio, {output_rate});
    for (const FoundNote& note : found)
        UNSCOPED_INFO(note.start_s << "–" << note.end_s << " s, " << note.hz << " Hz");
    return compared(told(line), found);
}

const std::string tongued =
    "tempo 120 mf 1/8 G4 G4 G4 A4 A4 E4 1/16 C5 C5 C5 C5 D5 D5 E5 E5 1/4 stacc G5 stacc G5 "
    "pp 1/8 F4 F4 F4 ff D5 D5 D5";
const std::string slurred =
    "tempo 90 mf 1/8 E4_F4_G4_A4_G4_F4 1/4 E4 breath 1/8 C5_D5_E5_F5_G5_F5_E5_D5 1/4 C5";
} // namespace

TEST_CASE("every note of an even player is found, tongued or slurred, in a room or not", "[find][rendered]")
{
    RenderSettings settings = settings_of(Player::ideal);
    for (const Room room : {Room::none, Room::small})
        for (const std::string& phrase : {tongued, slurred}) {
            settings.room = room;
            CAPTURE(int(room), phrase);
            const Tally tally = heard(phrase, settings);
            CHECK(tally.right == tally.told);
            CHECK(tally.found == tally.told);
        }
}

TEST_CASE("of a professional's notes nine in ten are found, and nine in ten found were told",
          "[find][rendered]")
{
    for (const Room room : {Room::none, Room::small, Room::large}) {
        RenderSettings settings = settings_of(Player::studio, 3);
        settings.room = room;
        Tally all;
        for (const std::string& phrase :
             {tongued, slurred, std::string("tempo 88 mp 1/8 F4_G4_A4_Bb4_B4_C5 1/4 D5_C5_B4 1/2 A4")}) {
            const Tally tally = heard(phrase, settings);
            all.told += tally.told;
            all.found += tally.found;
            all.right += tally.right;
        }
        CAPTURE(int(room), all.told, all.found, all.right);
        CHECK(all.recall() >= 0.9);
        CHECK(all.precision() >= 0.9);
    }
}

TEST_CASE("trills and a tongued tremolo are found note by note", "[find][rendered]")
{
    Line line = line_of("tempo 60 mf 1/2 trill half E5 1/4 D5 rest 1/4 tremolo G4");
    write_out_ornaments(line);
    const auto played = rendered(line, settings_of(Player::studio));
    REQUIRE(played.notes.size() > 20);
    const Tally tally = compared(told(played), find_notes(played.audio, {output_rate}));
    CAPTURE(tally.told, tally.found, tally.right);
    CHECK(tally.recall() >= 0.95);
    CHECK(tally.precision() >= 0.95);
}

TEST_CASE("aubio hears notes begin where we do", "[find][outside]")
{
    // aubioonset (aubio, https://aubio.org), its default method, high-frequency content: P. Masri, thesis,
    // University of Bristol, 1996.
    if (std::system("command -v aubioonset >/dev/null 2>&1") != 0) {
        WARN("skipped: aubioonset is not installed (Debian package aubio-tools)");
        return;
    }
    const auto line =
        rendered("tempo 100 f 1/8 G4 A4 B4 C5 C5 C5 D5 E5 1/4 G4 G4 E4 C4", settings_of(Player::ideal));
    const fs::path folder = fs::temp_directory_path() / ("canebrake-found-" + std::to_string(::getpid()));
    fs::create_directories(folder);
    const auto wav = (folder / "line.wav").string(), text = (folder / "onsets.txt").string();
    WavWriter writer(wav, {output_rate}, SampleFormat::pcm24);
    writer.write(line.audio);
    writer.finish();
    REQUIRE(std::system(("aubioonset -i '" + wav + "' > '" + text + "'").c_str()) == 0);
    std::ifstream lines(text);
    std::vector<double> theirs;
    for (double time_s = 0.0; lines >> time_s;)
        theirs.push_back(time_s);
    fs::remove_all(folder);
    const auto ours = find_notes(line.audio, {output_rate});
    REQUIRE(ours.size() == line.notes.size());
    std::size_t agreed = 0;
    for (const FoundNote& note : ours)
        agreed += std::any_of(theirs.begin(), theirs.end(),
                              [&](double time_s) { return std::abs(time_s - note.start_s) < 0.050; });
    CAPTURE(theirs.size(), agreed);
    CHECK(agreed + 1 >= ours.size()); // it may miss one
    CHECK(theirs.size() <= ours.size() + 1);
}
