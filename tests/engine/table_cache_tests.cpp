// SPDX-License-Identifier: MIT
// Mode tables kept on disk: the same sound to the last bit whatever became of the file.
#include "engine/synthesis/state_tables.h"
#include "engine/synthesis/voice.h"

#include <catch2/catch.hpp>

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <random>

using namespace canebrake;
namespace fs = std::filesystem;

namespace
{

/// A folder that goes with the test.
struct Folder {
    fs::path path;
    Folder()
    {
        std::string name = (fs::temp_directory_path() / "canebrake-cache-XXXXXX").string();
        REQUIRE(mkdtemp(name.data()));
        path = name;
    }
    ~Folder() { fs::remove_all(path); }
    std::vector<fs::path> files() const
    {
        std::vector<fs::path> found;
        for (const auto& entry : fs::directory_iterator(path))
            found.push_back(entry.path());
        return found;
    }
    /// The one cache file; a test fails if there are none or several.
    fs::path only() const
    {
        const auto found = files();
        REQUIRE(found.size() == 1);
        return found.front();
    }
};

std::vector<char> bytes_of(const fs::path& path)
{
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

void write_bytes(const fs::path& path, const std::vector<char>& bytes)
{
    std::ofstream(path, std::ios::binary).write(bytes.data(), std::streamsize(bytes.size()));
}

const std::array<int, 5> written{52, 60, 69, 72, 84}; // five states of the holes

bool same_table(const ModeTable& a, const ModeTable& b)
{
    const auto same_field = [](const HoleField& x, const HoleField& y) {
        return x.reed_side.pressure == y.reed_side.pressure && x.reed_side.flow == y.reed_side.flow &&
               x.bell_side.pressure == y.bell_side.pressure && x.bell_side.flow == y.bell_side.flow &&
               x.under_hole == y.under_hole;
    };
    return a.state == b.state && a.count == b.count && a.pole == b.pole && a.impedance == b.impedance &&
           a.radiation == b.radiation && a.vent == b.vent && a.inertance == b.inertance &&
           a.vent_hole == b.vent_hole &&
           std::equal(a.shapes.begin(), a.shapes.end(), b.shapes.begin(), b.shapes.end(), same_field);
}

struct Played {
    std::vector<double> sound;
    std::size_t searched; ///< states that no file knew
};

/// Five notes slurred, 60 ms each, at full breath.
Played play(const std::optional<fs::path>& folder, const Instrument& instrument = b_flat_soprano())
{
    StateTables tables(instrument, folder);
    Voice voice;
    voice.prepare(instrument, tables.bore().characteristic_impedance(), tables.bore().air().density_kgpm3,
                  48000.0, 1);
    Played played{{}, 0};
    Control control;
    control.gamma = 0.6;
    control.zeta = 0.3;
    control.tongue = 0.0;
    control.breath_noise = 0.004;
    for (const int note : written) {
        const Fingering& f = *instrument.primary({note});
        control.vent = f.vent;
        voice.change_state(tables.table(f.holes, f.vent_number), 0.012,
                           [&](const ModeTable& a, const ModeTable& b) -> const Projection& {
                               return tables.projection(a, b);
                           });
        std::array<double, control_tick> block;
        for (int tick = 0; tick < 90; ++tick) {
            voice.process(control, block);
            played.sound.insert(played.sound.end(), block.begin(), block.end());
        }
    }
    played.searched = tables.searched();
    return played;
}

} // namespace

TEST_CASE("the sound is the same to the last bit with no cache, a cold one and a warm one", "[cache]")
{
    const Folder folder;
    const auto none = play({}), cold = play(folder.path), warm = play(folder.path);
    CHECK(none.searched == written.size());
    CHECK(cold.searched == written.size());
    CHECK(warm.searched == 0);
    double loudest = 0.0;
    for (const double x : none.sound)
        loudest = std::max(loudest, std::abs(x));
    CHECK(loudest > 0.0);
    CHECK(cold.sound == none.sound);
    CHECK(warm.sound == none.sound);
}

TEST_CASE("a table read from disk is the table that was written, shapes and second vent and all", "[cache]")
{
    const Folder folder;
    Instrument two_vents = b_flat_soprano();
    two_vents.vents = {two_vents.vent_index, two_vents.vent_index + 5};
    StateTables fresh(two_vents, std::nullopt);
    {
        StateTables first(two_vents, folder.path);
        for (const int note : written)
            first.table(two_vents.primary({note})->holes);
    }
    StateTables read(two_vents, folder.path);
    for (const int note : written)
        for (const std::size_t vent : {0u, 1u}) {
            const HoleState holes = two_vents.primary({note})->holes;
            CAPTURE(note, vent);
            CHECK(same_table(read.table(holes, vent), fresh.table(holes, vent)));
            CHECK(read.table(holes, vent).vent_hole == two_vents.vents[vent]);
        }
    CHECK(read.searched() == 0);
    CHECK(fresh.table({}, 0).vent != fresh.table({}, 1).vent);
}

TEST_CASE("a second vent in the first one's place sounds as the first", "[vents]")
{
    Instrument twice = b_flat_soprano();
    twice.vents = {twice.vent_index, twice.vent_index};
    for (Fingering& f : twice.fingerings)
        f.vent_number = 1;
    const auto first = play({}), second = play({}, twice);
    REQUIRE(first.sound.size() == second.sound.size());
    double worst = 0.0, loudest = 0.0;
    for (std::size_t i = 0; i < first.sound.size(); ++i) {
        worst = std::max(worst, std::abs(first.sound[i] - second.sound[i]));
        loudest = std::max(loudest, std::abs(first.sound[i]));
    }
    CHECK(worst < 1e-6 * loudest);
    // and elsewhere it does not
    twice.vents[1] += 4;
    CHECK(play({}, twice).sound != first.sound);
}

TEST_CASE("a damaged file is never believed: any one byte wrong, and the sound is the same", "[cache]")
{
    const Folder folder;
    const auto right = play(folder.path);
    const fs::path file = folder.only();
    const auto good = bytes_of(file);
    std::mt19937 random(7);
    for (int trial = 0; trial < 12; ++trial) {
        auto bad = good;
        // each part of the header, then anywhere
        const std::size_t at = trial < 4 ? std::size_t(trial) * 8 + 1 : random() % good.size();
        bad[at] = char(bad[at] ^ (1 << (random() % 8)));
        write_bytes(file, bad);
        const auto again = play(folder.path);
        CAPTURE(trial, at);
        CHECK(again.searched > 0);
        CHECK(again.sound == right.sound);
        CHECK(bytes_of(file) == good); // and mended
    }
}

TEST_CASE("a file cut off anywhere, empty, or of something else gives the same sound", "[cache]")
{
    const Folder folder;
    const auto right = play(folder.path);
    const fs::path file = folder.only();
    const auto good = bytes_of(file);
    for (const std::size_t length : {std::size_t(0), std::size_t(7), std::size_t(27), std::size_t(40),
                                     good.size() / 2, good.size() - 1}) {
        write_bytes(file, {good.begin(), good.begin() + std::ptrdiff_t(length)});
        const auto again = play(folder.path);
        CAPTURE(length);
        CHECK(again.searched > 0);
        CHECK(again.sound == right.sound);
        CHECK(bytes_of(file) == good);
    }
    write_bytes(file, std::vector<char>(100'000, 'x'));
    CHECK(play(folder.path).sound == right.sound);
    CHECK(bytes_of(file) == good);
}

TEST_CASE("another bore, other modes or another air have another file", "[cache]")
{
    const auto key = [](const Instrument& i, double celsius = 25.0, std::size_t modes = 32) {
        return table_key(Resonator(i.geometry, breath_air({celsius}), i.vent_index), {.count = modes});
    };
    const Instrument plain = b_flat_soprano();
    Instrument pulled = plain, undercut = plain, lifted = plain;
    pulled.geometry.bore.back().x_m += 1e-6;
    undercut.geometry.holes[7].radius_m += 1e-9;
    lifted.geometry.holes[23].pad_lift_m += 1e-9;
    CHECK(key(plain) == key(b_flat_soprano()));
    CHECK(key(pulled) != key(plain));
    CHECK(key(undercut) != key(plain));
    CHECK(key(lifted) != key(plain));
    CHECK(key(plain, 25.001) != key(plain));
    CHECK(key(plain, 25.0, 33) != key(plain));

    const Folder folder;
    play(folder.path);
    CHECK(play(folder.path, pulled).searched == written.size());
    CHECK(folder.files().size() == 2);
    CHECK(play(folder.path).searched == 0);
}

TEST_CASE("the files of one instrument do not grow without end", "[cache]")
{
    const Folder folder;
    ModeTable table;
    table.count = 1;
    table.pole[0] = {-1.0, 1000.0};
    for (std::uint64_t variant = 0; variant < 20; ++variant) {
        TableCache cache(folder.path, "B-flat", variant);
        cache.add(table);
    }
    TableCache(folder.path, "bass", 1).add(table);
    CHECK(folder.files().size() == 9); // eight newest, and the bass
}

TEST_CASE("many programs at once leave a whole file that all have written to", "[cache]")
{
    const Folder folder;
    std::vector<pid_t> children;
    for (int child = 0; child < 4; ++child) {
        const pid_t pid = fork();
        REQUIRE(pid >= 0);
        if (pid == 0) {
            bool right = true;
            for (int round = 0; round < 5; ++round) {
                TableCache cache(folder.path, "B-flat", 5);
                for (std::uint32_t i = 0; i < 40; ++i) {
                    ModeTable table;
                    table.state.open =
                        i % 2 ? i : 1000u * std::uint32_t(child) + 100u * std::uint32_t(round) + i;
                    table.count = 32;
                    for (std::size_t n = 0; n < table.count; ++n)
                        table.pole[n] = {-1.0 - double(table.state.open), 1000.0 * double(n + 1)};
                    cache.find(table.state);
                    cache.add(table);
                }
                cache.save();
                TableCache read(folder.path, "B-flat", 5);
                const auto* known = read.find({1, 0});
                right =
                    right && known && known->poles.size() == 32 && known->poles[31] == Complex{-2.0, 32000.0};
            }
            _exit(right ? 0 : 1);
        }
        children.push_back(pid);
    }
    for (const pid_t pid : children) {
        int status = 1;
        waitpid(pid, &status, 0);
        CHECK(status == 0);
    }
    TableCache read(folder.path, "B-flat", 5);
    CHECK(read.find({1, 0}) != nullptr);
    CHECK(read.size() >= 40 + 20); // the last to write has its own, and those before it
    CHECK(folder.files().size() == 1);
}

TEST_CASE("a folder that cannot be written, or a full disk, is no cache and no complaint", "[cache]")
{
    const Folder folder;
    const auto right = play({});
    const fs::path in_the_way = folder.path / "file";
    write_bytes(in_the_way, {'x'});
    CHECK(play(in_the_way / "canebrake").sound == right.sound); // a file where the folder should be
    CHECK(play("/proc/canebrake").sound == right.sound);
    CHECK(folder.files().size() == 1);

    // A disk that takes no more than a kilobyte, in a process of its own.
    const fs::path small = folder.path / "small";
    const pid_t pid = fork();
    REQUIRE(pid >= 0);
    if (pid == 0) {
        std::signal(SIGXFSZ, SIG_IGN);
        const rlimit kilobyte{1024, 1024};
        const bool limited = setrlimit(RLIMIT_FSIZE, &kilobyte) == 0;
        const bool same = play(small).sound == right.sound;
        _exit(limited && same && fs::is_empty(small) ? 0 : 1);
    }
    int status = 1;
    waitpid(pid, &status, 0);
    CHECK(status == 0);
}

TEST_CASE("the cache lies where the desktop's specification says, and can be switched off", "[cache]")
{
    // XDG Base Directory Specification 0.8: $XDG_CACHE_HOME, else $HOME/.cache; relative paths are ignored.
    const std::array<const char*, 3> names{"CANEBRAKE_NO_CACHE", "XDG_CACHE_HOME", "HOME"};
    std::array<std::optional<std::string>, 3> before;
    for (std::size_t i = 0; i < names.size(); ++i)
        if (const char* value = std::getenv(names[i]))
            before[i] = value;
    CHECK(before[0] == "1"); // as every test program runs
    unsetenv("CANEBRAKE_NO_CACHE");
    setenv("XDG_CACHE_HOME", "/somewhere/caches", 1);
    setenv("HOME", "/home/player", 1);
    CHECK(table_cache_folder() == fs::path("/somewhere/caches/canebrake"));
    setenv("XDG_CACHE_HOME", "caches", 1);
    CHECK(table_cache_folder() == fs::path("/home/player/.cache/canebrake"));
    unsetenv("XDG_CACHE_HOME");
    CHECK(table_cache_folder() == fs::path("/home/player/.cache/canebrake"));
    setenv("CANEBRAKE_NO_CACHE", "0", 1);
    CHECK(table_cache_folder().has_value());
    setenv("CANEBRAKE_NO_CACHE", "1", 1);
    CHECK(!table_cache_folder().has_value());
    unsetenv("CANEBRAKE_NO_CACHE");
    unsetenv("HOME");
    CHECK(!table_cache_folder().has_value());
    for (std::size_t i = 0; i < names.size(); ++i)
        before[i] ? setenv(names[i], before[i]->c_str(), 1) : unsetenv(names[i]);
}
