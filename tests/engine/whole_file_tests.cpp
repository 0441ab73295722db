// SPDX-License-Identifier: MIT
// A file that appears whole or not at all: what a user finds in the folder, whatever happened.
#include "engine/storage/whole_file.h"
#include "models/units/input_error.h"
#include "tests/support/folder.h"

#include <catch2/catch.hpp>

#include <sys/stat.h>

#include <fstream>
#include <sstream>
#include <string>

using namespace canebrake;
using namespace canebrake::test;
namespace fs = std::filesystem;

namespace
{

const std::string long_text(200'000, 'a'); // more than is kept waiting in memory

fs::perms rights(const std::string& path)
{
    return fs::status(path).permissions();
}

} // namespace

TEST_CASE("a file that is given up half-way leaves nothing, and what was there stays", "[storage]")
{
    const Folder folder;
    const std::string old = folder.put("take.wav", "yesterday");
    {
        WholeFile again(old), fresh(folder / "new.wav");
        again.write(long_text);
        fresh.write(long_text);
        fresh.flush();
    }
    CHECK(folder.names() == std::vector<std::string>{"take.wav"});
    CHECK(bytes_of(old) == "yesterday");
}

TEST_CASE("who reads a file while it is written anew reads the old one to its end", "[storage]")
{
    const Folder folder;
    const std::string path = folder.put("take.wav", "yesterday");
    std::ifstream reader(path, std::ios::binary);
    REQUIRE(reader.peek() == 'y');
    write_whole(path, long_text);
    std::ostringstream read;
    read << reader.rdbuf();
    CHECK(read.str() == "yesterday");
    CHECK(bytes_of(path) == long_text);
    CHECK(folder.names() == std::vector<std::string>{"take.wav"});
}

TEST_CASE("a link stays a link, and the file behind it is written", "[storage]")
{
    const Folder folder;
    fs::create_directory(folder.path / "disk");
    const std::string behind = folder.put("disk/take.wav", "yesterday");
    for (const fs::path& to : {fs::path(behind), fs::path("disk/take.wav")}) { // from the root, and from here
        const fs::path link = folder.path / "link.wav";
        fs::remove(link);
        fs::create_symlink(to, link);
        write_whole(link, "today by " + to.string());
        CAPTURE(to);
        CHECK(fs::is_symlink(link));
        CHECK(bytes_of(behind) == "today by " + to.string());
    }
    CHECK(folder.names() == std::vector<std::string>{"disk", "link.wav"});
}

TEST_CASE("only who may read a file finds it readable", "[storage]")
{
    const Folder folder;
    const mode_t before = ::umask(0022);
    write_whole(folder / "open.wav", "for all");
    WholeFile own(folder / "own", 0600);
    own.write("for one");
    own.finish();
    ::umask(before);
    using fs::perms;
    CHECK(rights(folder / "open.wav") ==
          (perms::owner_read | perms::owner_write | perms::group_read | perms::others_read));
    CHECK(rights(folder / "own") == (perms::owner_read | perms::owner_write));
}

TEST_CASE("no folder, pipe or device is taken for a file, and the reason is said", "[storage][words]")
{
    const Folder folder;
    fs::create_directory(folder.path / "folder");
    REQUIRE(::mkfifo((folder / "pipe").c_str(), 0600) == 0);
    const auto reason = [](const std::string& path) -> std::string {
        try {
            write_whole(path, "lost");
        } catch (const InputError& error) {
            CHECK(error.fault() == Fault::unwritable);
            return error.what();
        }
        return "it was written";
    };
    CHECK_THAT(reason(folder / "folder"),
               Catch::Contains(folder / "folder") && Catch::Contains("is a folder"));
    CHECK_THAT(reason(folder / "pipe"), Catch::Contains("pipe"));
    CHECK_THAT(reason("/dev/null"), Catch::Contains("device"));
    CHECK_THAT(reason(folder / "none/take.wav"), Catch::Contains("there is no folder " + (folder / "none")));
    CHECK_THAT(reason(""), Catch::Contains("names no file"));
    CHECK(folder.names() == std::vector<std::string>{"folder", "pipe"});
}
