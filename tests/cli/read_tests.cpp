// SPDX-License-Identifier: MIT
#include "engine/files/phrase/read_phrase.h"
#include "engine/files/read.h"
#include "engine/part/choose_part.h"
#include "engine/part/pitch_basis.h"
#include "models/units/input_error.h"
#include "tests/support/midi_bytes.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <unistd.h>

using namespace canebrake;

namespace
{

/// A folder of its own that goes with the test.
class Folder
{
public:
    Folder() { std::filesystem::create_directories(path_); }
    ~Folder() { std::filesystem::remove_all(path_); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    std::filesystem::path file(const std::string& name, const std::string& bytes) const
    {
        std::ofstream(path_ / name, std::ios::binary) << bytes;
        return path_ / name;
    }
    std::filesystem::path path() const { return path_; }

private:
    std::filesystem::path path_ =
        std::filesystem::temp_directory_path() / ("canebrake-read-" + std::to_string(::getpid()));
};

std::string refusal(const std::filesystem::path& file)
{
    try {
        read_score(file);
    } catch (const InputError& error) {
        CHECK(error.fault() == Fault::unreadable);
        return error.what();
    }
    return "accepted";
}

std::string one_note()
{
    return test::header(0, 1, 96) + test::track(test::note(0, 60, 96));
}

Line part(const std::string& id, const std::string& name, int notes)
{
    Line line;
    line.part_id = id;
    line.part_name = name;
    line.notes.resize(std::size_t(notes));
    return line;
}

std::string refused_choice(const Score& score, const std::string& choice, Fault fault)
{
    try {
        choose_part(score, choice);
    } catch (const InputError& error) {
        CHECK(error.fault() == fault);
        return error.what();
    }
    return "accepted";
}

} // namespace

TEST_CASE("a score is known by its content, not by its name", "[read]")
{
    const Folder folder;
    CHECK(read_score(folder.file("tune.xml", one_note())).parts.size() == 1);
    CHECK(refusal(folder.file("tune.mid", "  <html></html>")).find("not music we can read") ==
          std::string::npos);
}

TEST_CASE("what is no score is refused in one line that names it", "[read][words]")
{
    const Folder folder;
    const std::string missing = (folder.path() / "none.mid").string();
    CHECK(refusal(missing) == missing + ": found no such file, wanted MusicXML or a Standard MIDI File");
    CHECK(refusal(folder.path()) ==
          folder.path().string() + ": found a directory, wanted MusicXML or a Standard MIDI File");
    const auto empty = folder.file("empty.mid", "");
    CHECK(refusal(empty) ==
          empty.string() + ": found an empty file, wanted MusicXML or a Standard MIDI File");
    for (const std::string& content :
         {std::string("hello"), std::string("RIFF\0\0\0\0WAVE", 12), std::string("\0", 1)}) {
        const auto other = folder.file("other", content);
        CHECK(refusal(other) ==
              other.string() + ": not music we can read: wanted MusicXML or a Standard MIDI File");
    }
    if (::geteuid() != 0) { // root may read everything
        const auto locked = folder.file("locked.mid", one_note());
        std::filesystem::permissions(locked, std::filesystem::perms::none);
        CHECK(refusal(locked) == locked.string() + ": cannot be opened for reading");
    }
}

TEST_CASE("a file beyond every score's size is refused", "[read][safety]")
{
    const Folder folder;
    const auto big = folder.file("big.mid", one_note());
    std::filesystem::resize_file(big, (std::uintmax_t(256) << 20) + 1); // holes, not bytes on the disk
    CHECK(refusal(big) == big.string() + ": found more than 256 MB, wanted a score");
}

TEST_CASE("a part is chosen by id, name or number, and the only one with notes needs no choice", "[read]")
{
    Score score;
    score.parts = {part("P1", "Flute", 0), part("P2", "Clarinet", 3)};
    score.remarks = {"of the file"};
    CHECK(choose_part(score, "").part_id == "P2");
    CHECK(choose_part(score, "").remarks == std::vector<std::string>{"of the file"});
    score.parts.push_back(part("P3", "Bass clarinet", 1));
    CHECK(choose_part(score, "P3").part_name == "Bass clarinet");
    CHECK(choose_part(score, "Clarinet").part_id == "P2");
    CHECK(choose_part(score, "3").part_id == "P3");

    const std::string list =
        "\n  1  P1, Flute: 0 notes\n  2  P2, Clarinet: 3 notes\n  3  P3, Bass clarinet: 1 note";
    CHECK(refused_choice(score, "", Fault::needs_choice) ==
          "found several parts, wanted the choice of one:" + list);
    CHECK(refused_choice(score, "Oboe", Fault::needs_choice) ==
          "found no part 'Oboe', wanted one of these:" + list);
    CHECK(refused_choice(score, "4", Fault::needs_choice) ==
          "found no part '4', wanted one of these:" + list);
    CHECK(refused_choice(score, "P1", Fault::unreadable) == "found no notes in part 'P1'");
    score.parts[2].part_name = "Clarinet";
    CHECK(refused_choice(score, "Clarinet", Fault::needs_choice)
              .starts_with("found 2 parts called 'Clarinet'"));
    CHECK(refused_choice(Score{}, "", Fault::unreadable) == "found no notes in any part of the score");
}

TEST_CASE("the pitch basis moves what sounds, keeps what is printed, and keeps microtones", "[read]")
{
    // A B♭ part as MusicXML gives it: printed C5, sounding B♭4; then a quarter-tone sharp, then one flat.
    Line in_b_flat;
    for (const double microtone : {0.0, 0.5, -0.5}) {
        Note note;
        note.printed = 72;
        note.sounding.number = 70.0 + microtone;
        in_b_flat.notes.push_back(note);
    }
    in_b_flat.written_known = true;
    const auto sounding = [](const Line& line) {
        return std::array{line.notes[0].sounding.number, line.notes[1].sounding.number,
                          line.notes[2].sounding.number};
    };
    Line line = in_b_flat;
    set_pitch_basis(line, PitchBasis::as_file, -14);
    CHECK(sounding(line) == std::array{70.0, 70.5, 69.5});
    CHECK(line.written_known);
    set_pitch_basis(line, PitchBasis::written, -14); // read on a bass
    CHECK(sounding(line) == std::array{58.0, 58.5, 57.5});
    CHECK(line.written_known);
    set_pitch_basis(line, PitchBasis::sounding, -2);
    CHECK(sounding(line) == std::array{72.0, 72.5, 71.5});
    CHECK_FALSE(line.written_known);
    CHECK(line.notes[0].printed == 72);

    Line phrase = read_phrase("C5").parts[0];
    set_pitch_basis(phrase, PitchBasis::written, -3);
    CHECK(phrase.notes[0].sounding.number == 69.0);
    CHECK(phrase.notes[0].printed == 72);
    CHECK(phrase.written_known);
}
