// SPDX-License-Identifier: MIT
#include "cli/audio/audio_file.h"
#include "cli/commands/render/render.h"
#include "engine/part/part_to_play.h"
#include "engine/report/events.h"
#include "engine/telling/names.h"
#include "tests/support/asked_line.h"
#include "tests/support/folder.h"
#include "tests/support/said.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <sys/stat.h>
#include <unistd.h>
#include <vector>

using namespace canebrake;
using namespace canebrake::test;
namespace fs = std::filesystem;

namespace
{

Line played_line(const RenderRequest& request)
{
    TrillBooks books(request.settings.kit);
    return part_to_play(asked_line(request), request, books).stretches.at(0).line;
}

/// Runs `render` with these words, which must fail in one clear line of this content.
void refused(const std::vector<std::string>& words, int code, const std::string& content)
{
    std::vector<std::string> args{"render"};
    args.insert(args.end(), words.begin(), words.end());
    check_refused(args, code, content);
}

std::string musicxml_note(const std::string& step, int octave, const std::string& extra = "")
{
    return "<note><pitch><step>" + step + "</step><octave>" + std::to_string(octave) +
           "</octave></pitch><duration>1</duration>" + extra + "</note>";
}

/// A score with parts P1, P2 … of one 2/4 bar each, for B-flat clarinets.
std::string score_of(const std::vector<std::string>& notes_by_part)
{
    std::string list, parts;
    for (std::size_t i = 0; i < notes_by_part.size(); ++i) {
        const std::string id = "P" + std::to_string(i + 1);
        list += "<score-part id=\"" + id + "\"><part-name>Clarinet " + std::to_string(i + 1) +
                "</part-name></score-part>";
        parts += "<part id=\"" + id +
                 "\"><measure number=\"1\"><attributes><divisions>1</divisions><time><beats>2</beats>"
                 "<beat-type>4</beat-type></time><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic>"
                 "</transpose></attributes>" +
                 notes_by_part[i] + "</measure></part>";
    }
    return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\"><part-list>" + list +
           "</part-list>" + parts + "</score-partwise>";
}

const std::string two_notes = musicxml_note("E", 4) + musicxml_note("G", 4);
const std::string phrase = "tempo 120 mf 1/8 A4_B4 C5 rest";

} // namespace

TEST_CASE("help and version go to standard output with code 0", "[cli][words]")
{
    const Said help = canebrake_says({"--help"});
    CHECK(help.code == 0);
    CHECK(help.err.empty());
    for (const char* line : {"render", "0  done", "1  a fault", "2  the call", "3  the line",
                             "4  the file has", "5  notes off", "6  the destination"})
        CHECK_THAT(help.out, Catch::Contains(line));
    const Said render_help = canebrake_says({"render", "--help"});
    CHECK(render_help.code == 0);
    for (const char* option :
         {"--part", "--bars", "--pitch", "--tempo", "--on", "--a4", "--temperature", "--player", "--seed",
          "--rate", "--bits", "--events", "--phrase", "--strict", "--room", "--barrel"})
        CHECK_THAT(render_help.out, Catch::Contains(option));
    CHECK_THAT(render_help.out, Catch::Contains("grow")); // the phrase grammar
    const Said version = canebrake_says({"--version"});
    CHECK(version.code == 0);
    CHECK_THAT(version.out, Catch::StartsWith("canebrake "));
}

TEST_CASE("calls that make no sense are refused in one line with code 2", "[cli][words]")
{
    const Folder folder;
    const std::string wav = folder / "out.wav";
    const auto with = [&](const std::string& option, const std::string& value) {
        return std::vector<std::string>{"--phrase", phrase, "-o", wav, option, value};
    };
    refused({}, 2, "nothing to play");
    refused({"--phrase", phrase}, 2, "-o OUT.wav");
    refused({"--phrase", phrase, "-o", folder / "out.aiff"}, 2, "ends in .wav");
    refused({"--phrase", phrase, "-o", wav, "--events", folder / "out.txt"}, 2, "ends in .json");
    refused({"score.musicxml", "--phrase", phrase, "-o", wav}, 2, "wanted one of them");
    refused({"--phrase", "", "-o", wav}, 2, "found no notes");
    refused({"--phrase", "1/8 C4 H4", "-o", wav}, 2, "character 8");
    refused(with("--a4", "10"), 2, "--a4: found '10', wanted 380 to 500 hertz");
    refused(with("--a4", "nan"), 2, "380 to 500");
    refused(with("--a4", "440Hz"), 2, "380 to 500");
    refused(with("--rate", "7"), 2, "44100 to 192000");
    refused(with("--rate", "48000.5"), 2, "whole number");
    refused(with("--bars", "9-3"), 2, "lower number first");
    refused(with("--bars", "-3"), 2, "--bars: found '-3'");
    refused(with("--bars", "40-50"), 2, "wanted bars between 1 and 1");
    refused(with("--tempo", "0"), 2, "10 to 400");
    refused(with("--temperature", "-5"), 2, "0 to 40");
    refused(with("--barrel", "6"), 2, "0 to 5");
    refused(with("--room", "hall"), 2, "none, small or large");
    refused(with("--bits", "12"), 2, "16, 24 or float");
    refused(with("--player", "robot"), 2, "ideal, studio or learner");
    refused(with("--pitch", "loud"), 2, "written or sounding");
    refused(with("--seed", "-1"), 2, "whole number");
    refused(with("--part", ""), 2, "--part");
    refused(with("--on", "kazoo"), 2, "kazoo");
    refused(with("--colour", "red"), 2, "--colour");
    CHECK(folder.names().empty());

    for (const std::vector<std::string>& args : {std::vector<std::string>{}, {"rendr"}, {"--loud"}}) {
        const Said said = canebrake_says(args);
        CAPTURE(args, said.err);
        CHECK(said.code == 2);
        CHECK(lines_of(said.err).size() == 1);
        CHECK_THAT(said.err, Catch::Contains("see canebrake --help"));
    }
}

TEST_CASE("files that are no music are refused in one line with code 3", "[cli][words]")
{
    const Folder folder;
    const std::string wav = folder.put("out.wav", "what was there");
    const std::string whole = score_of({two_notes});
    const auto refused_file = [&](const std::string& path, const std::string& content) {
        refused({path, "-o", wav}, 3, content);
        CHECK(bytes_of(wav) == "what was there");
    };
    refused_file(folder / "nowhere.musicxml", "no such file");
    refused_file(folder.put("empty.mid", ""), "empty");
    refused_file(folder.put("letter.musicxml", "Dear clarinettist,\n"), "not music");
    refused_file(folder.put("cut.musicxml", whole.substr(0, whole.size() / 2)), "cut.musicxml");
    refused_file(folder.put("cut.mid", std::string("MThd\0\0\0\6\0", 9)), "cut.mid");
    refused_file(folder.put("cut.mxl", "PK\3\4 and no more"), "cut.mxl");
    refused_file(folder.put("page.xml", "<html><body>A4</body></html>"), "page.xml");
    refused_file(folder.put("rests.musicxml", score_of({""})), "no notes");
    refused_file(folder.path.string(), "directory");
}

TEST_CASE("several parts and no choice lists them and returns code 4", "[cli][words]")
{
    const Folder folder;
    const std::string score = folder.put("duo.musicxml", score_of({two_notes, musicxml_note("C", 5)}));
    const std::string wav = folder / "out.wav";
    const Said said = canebrake_says({"render", score, "-o", wav});
    CHECK(said.code == 4);
    CHECK(lines_of(said.err).size() == 3); // one line of message, one a part
    CHECK_THAT(first_line(said.err), Catch::Contains("several parts"));
    CHECK_THAT(said.err, Catch::Contains("1  P1, Clarinet 1: 2 notes"));
    CHECK_THAT(said.err, Catch::Contains("2  P2, Clarinet 2: 1 note"));
    CHECK_FALSE(fs::exists(wav));

    CHECK(canebrake_says({"render", score, "-o", wav, "--part", "9"}).code == 4);
    for (const std::string choice : {"2", "P2", "Clarinet 2"}) {
        const Said chosen = canebrake_says({"render", score, "-o", wav, "--part", choice});
        CHECK(chosen.code == 0);
        CHECK_THAT(chosen.out, Catch::Contains(", 1 note, clarinet in B"));
    }
}

TEST_CASE("a note off the instrument is silent with a warning, and refused by --strict with code 5",
          "[cli][words]")
{
    const Folder folder;
    const std::string wav = folder / "out.wav", low = "1/8 E4 C2 G4";
    const Said said = canebrake_says({"render", "--phrase", low, "-o", wav});
    CHECK(said.code == 0);
    CHECK(lines_of(said.err).size() == 1);
    CHECK_THAT(said.err, Catch::StartsWith("canebrake: warning: ") && Catch::Contains("bar 1") &&
                             Catch::Contains("C2"));
    CHECK_THAT(said.out, Catch::Contains("2 notes (1 more silent)"));

    const std::string before = bytes_of(wav);
    refused({"--phrase", low, "-o", wav, "--strict"}, 5, "off the instrument");
    CHECK_THAT(canebrake_says({"render", "--phrase", low, "-o", wav, "--strict"}).err,
               Catch::Contains("C2") && !Catch::Contains("left silent"));
    CHECK(bytes_of(wav) == before);
    CHECK(folder.names() == std::vector<std::string>{"out.wav"});
}

TEST_CASE("of many remarks ten are shown and the others counted", "[cli][words]")
{
    const Folder folder;
    std::string many = "1/16 E4";
    for (int i = 0; i < 14; ++i)
        many += " C2";
    const Said said = canebrake_says({"render", "--phrase", many, "-o", folder / "out.wav"});
    CHECK(said.code == 0);
    CHECK(lines_of(said.err).size() == 11);
    CHECK_THAT(said.err, Catch::EndsWith("canebrake: and 4 more\n"));
}

TEST_CASE("a destination that cannot be written is refused with code 6 and nothing is lost", "[cli][words]")
{
    const Folder folder;
    const std::string wav = folder.put("out.wav", "the take of yesterday");
    refused({"--phrase", phrase, "-o", folder / "no/such/folder/out.wav"}, 6, "no folder");
    fs::create_directory(folder.path / "folder.wav");
    refused({"--phrase", phrase, "-o", folder / "folder.wav"}, 6, "folder");
    // The other destination fails: the sound that was there stays too.
    refused({"--phrase", phrase, "-o", wav, "--events", folder / "no/such/out.json"}, 6, "no folder");
    REQUIRE(::mkfifo((folder / "pipe.json").c_str(), 0600) == 0);
    refused({"--phrase", phrase, "-o", wav, "--events", folder / "pipe.json"}, 6, "pipe");
    if (::geteuid() != 0) { // root may write anywhere
        fs::permissions(folder.path, fs::perms::owner_read | fs::perms::owner_exec);
        refused({"--phrase", phrase, "-o", folder / "new.wav"}, 6, "cannot write");
        fs::permissions(folder.path, fs::perms::owner_all);
    }
    CHECK(bytes_of(wav) == "the take of yesterday");
    CHECK(folder.names() == std::vector<std::string>{"folder.wav", "out.wav", "pipe.json"});
}

TEST_CASE("a line that is broken off leaves what was there", "[cli]")
{
    const Folder folder;
    const std::string wav = folder.put("out.wav", "the take of yesterday");
    const std::atomic<bool> stop{true};
    std::ostringstream out, err;
    const std::vector<std::string> args{"render", "--phrase", phrase,           "-o",
                                        wav,      "--events", folder / "e.json"};
    CHECK(run(args, Console{out, err, 0, &stop}) == 1);
    CHECK(bytes_of(wav) == "the take of yesterday");
    CHECK(folder.names() == std::vector<std::string>{"out.wav"});
}

TEST_CASE("the score is never taken for a destination", "[cli][words]")
{
    const Folder folder;
    const std::string text = score_of({two_notes});
    const std::string score = folder.put("line.wav", text); // a name that lies
    refused({score, "-o", score}, 2, "another file than the line itself");
    CHECK(bytes_of(score) == text);
}

TEST_CASE("the same seed gives the same files", "[cli]")
{
    const Folder folder;
    const auto take = [&](const std::string& seed, const std::string& bits) {
        const Said said = canebrake_says({"render", "--phrase", phrase, "-o", folder / "take.wav", "--events",
                                          folder / "take.json", "--seed", seed, "--bits", bits});
        REQUIRE(said.code == 0);
        return std::pair(bytes_of(folder / "take.wav"), bytes_of(folder / "take.json"));
    };
    for (const std::string bits : {"16", "24", "float"}) {
        CAPTURE(bits);
        const auto first = take("3", bits), again = take("3", bits), other = take("4", bits);
        CHECK(first.first == again.first);
        CHECK(first.second == again.second);
        CHECK(first.first != other.first); // breath noise, at least
    }
}

TEST_CASE("the sound has the length, rate and silence that the success line tells", "[cli]")
{
    const Folder folder;
    const std::string wav = folder / "out.wav";
    const Said said =
        canebrake_says({"render", "--phrase", "tempo 60 mf 1/4 E4 G4", "-o", wav, "--rate", "44100"});
    REQUIRE(said.code == 0);
    CHECK(said.err.empty()); // no bar in a pipe
    CHECK_THAT(said.out,
               Catch::StartsWith(wav + ": ") && Catch::Contains(", 2 notes, clarinet in B♭, studio"));
    const Audio audio = read_audio(wav);
    CHECK(audio.rate.value == 44100.0);
    const double seconds = double(audio.samples.size()) / 44100.0;
    CHECK(seconds > 2.0); // two quarters at 60 and a tail
    CHECK(seconds < 4.0);
    CHECK(std::stod(said.out.substr(wav.size() + 2)) == Approx(seconds).margin(0.06));
}

TEST_CASE("a tempo asked for replaces the first tempo and the others keep their relation to it", "[cli]")
{
    RenderRequest request;
    request.phrase = "tempo 60 1/4 E4 tempo 90 G4";
    request.pitch = PitchBasis::written;
    request.tempo = 120.0;
    const Line line = played_line(request);
    const TempoMap tempo(line.tempo);
    CHECK(tempo.tempo_at(0.5) == Approx(120.0));
    CHECK(tempo.tempo_at(1.5) == Approx(180.0));
}

TEST_CASE("a trilled note with a grace note keeps both: the trill starts after it", "[cli]")
{
    RenderRequest request;
    request.phrase = "tempo 60 grace B4 1/2 trill A4";
    request.pitch = PitchBasis::written;
    const Line line = played_line(request);
    REQUIRE(line.notes.size() > 10);
    CHECK(line.notes[0].sounding.number == 69.0);          // written B4, a tone lower
    CHECK(line.notes[0].length_quarters == Approx(0.070)); // whole: not half of a trill's first note
    CHECK(line.notes[1].start_quarter == Approx(0.070));
}

TEST_CASE("pitch is written in a phrase unless --pitch says sounding", "[cli]")
{
    RenderRequest request;
    request.phrase = "C5";
    request.pitch = PitchBasis::written;
    CHECK(played_line(request).notes[0].sounding.number == 70.0); // B♭ clarinet: written C5 sounds B♭4
    request.pitch = PitchBasis::sounding;
    CHECK(played_line(request).notes[0].sounding.number == 72.0);
}

TEST_CASE("names follow the spelling of the line", "[cli]")
{
    const auto note = [](int printed, int step) {
        Note n;
        n.printed = printed;
        n.printed_step = step;
        return n;
    };
    // Common practice, no source: a B♭ clarinet sounds a major second lower, one letter down.
    CHECK(spelled(note(72, 0), 70) == "Bb4");
    CHECK(spelled(note(66, 3), 66) == "F#4");
    CHECK(spelled(note(66, 3), 64) == "E4");
    CHECK(spelled(note(70, 6), 68) == "Ab4");
    CHECK(spelled(note(59, 0), 59) == "Cb4");
    CHECK(spelled(note(60, 6), 60) == "B#3");
    CHECK(spelled(note(70, 6), 72) == "C5");  // printed at sounding pitch: up to the written one
    CHECK(spelled(note(61, 5), 61) == "C#4"); // a letter that cannot be: as the plain table says
    CHECK(dynamic_name(-1.0) == "niente");
    CHECK(dynamic_name(0.0) == "ppp");
    CHECK(dynamic_name(4.4) == "mf");
    CHECK(dynamic_name(9.0) == "fff");
}

TEST_CASE("events tell of each note where it stands, what it is and what was heard", "[cli][events]")
{
    const Folder folder;
    const std::string wav = folder / "out.wav", json = folder / "out.json";
    const Said said = canebrake_says({"render", "--phrase", "tempo 60 f 1/2 E4_G4 C2 1/4 rest p C5", "-o",
                                      wav, "--events", json, "--a4", "442", "--player", "ideal"});
    REQUIRE(said.code == 0);
    const auto events = nlohmann::json::parse(bytes_of(json));
    CHECK(events["schema"] == "canebrake-events");
    CHECK(events["version"] == 1);
    CHECK(events["player"] == "ideal");
    CHECK(events["a4_hz"] == 442.0);
    CHECK(events["line"]["part_id"] == "phrase");
    CHECK(events["instrument"]["transposition_semitones"] == -2);
    REQUIRE(events["notes"].size() == 4);
    double before = 0.0;
    for (const auto& note : events["notes"]) {
        for (const char* field : {"bar", "beat", "source", "written", "sounding", "fingering", "start_s",
                                  "end_s", "dynamic", "tongued", "silent", "measured"})
            CHECK(note.contains(field));
        CHECK(note["start_s"] >= before);
        CHECK(note["end_s"] > note["start_s"]);
        before = note["start_s"];
    }
    const auto& first = events["notes"][0];
    CHECK(first["bar"] == "1");
    CHECK(first["beat"] == 1.0);
    CHECK(first["written"]["name"] == "E4");
    CHECK(first["written"]["number"] == 64);
    CHECK(first["sounding"]["name"] == "D4");
    CHECK(first["sounding"]["number"] == 62.0);
    CHECK(first["dynamic"]["name"] == "f");
    CHECK(first["tongued"] == true);
    CHECK(events["notes"][1]["tongued"] == false);
    // Sounding D4 on A4 = 442 Hz: 442 · 2^(−7/12) = 295.0 Hz (equal temperament, ISO 16 and MIDI 1.0
    // numbers).
    CHECK(first["measured"]["settled_hz"].get<double>() == Approx(295.0).epsilon(0.003));
    CHECK(std::abs(first["measured"]["cents"].get<double>()) < 5.0);
    CHECK(first["measured"]["in_register"] == true);
    CHECK(first["measured"]["level_db"].get<double>() > -60.0);
    CHECK(events["notes"][2]["silent"] == true);
    CHECK(events["notes"][2]["measured"].is_null());
    CHECK(events["notes"][2]["fingering"].is_null());
    // What follows a silent note gets its own figures, not those of its neighbour: sounding B♭4.
    CHECK(events["notes"][3]["measured"]["settled_hz"].get<double>() == Approx(468.3).epsilon(0.003));
}

TEST_CASE("names in a foreign encoding do not spoil the events", "[cli][events]")
{
    const Folder folder;
    const std::string json = folder / "out.json";
    // A MIDI track named "Fl\xF6te" in Latin-1, one note.
    const std::string track("\0\xFF\3\5Fl\xF6te\0\x90\x3C\x50\x60\x80\x3C\0\0\xFF\x2F\0", 22);
    const std::string head("MThd\0\0\0\6\0\0\0\1\0\x60MTrk\0\0\0", 21);
    const std::string midi = folder.put("one.mid", head + char(track.size()) + track);
    const Said said = canebrake_says({"render", midi, "-o", folder / "out.wav", "--events", json});
    CAPTURE(said.err);
    REQUIRE(said.code == 0);
    CHECK(nlohmann::json::parse(bytes_of(json))["notes"].size() == 1);
}

TEST_CASE("the demo phrase is eight bars that cross the break by slur and leap a twelfth", "[cli]")
{
    const fs::path demo = fs::path(CANEBRAKE_SOURCE_DIR) / "assets/phrases/demo.txt";
    RenderRequest request;
    request.phrase = bytes_of(demo.string());
    request.pitch = PitchBasis::written;
    const Line line = played_line(request);
    CHECK(line.bars.size() == 8);
    CHECK(line.end_quarter == 32.0);
    const auto slurs = [&](int from, int to) {
        for (std::size_t i = 0; i + 1 < line.notes.size(); ++i)
            if (line.notes[i].slurred_to_next && line.notes[i].printed == from &&
                line.notes[i + 1].printed == to)
                return true;
        return false;
    };
    CHECK(slurs(69, 71)); // A4–B4
    CHECK(slurs(70, 72)); // B♭4–C5
    CHECK(slurs(53, 72)); // F3–C5
}
