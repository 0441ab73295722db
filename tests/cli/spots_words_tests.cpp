// SPDX-License-Identifier: MIT
// Exit codes and first lines of `canebrake spots`, and what it writes where.
#include "tests/cli/spots_support.h"

#include <atomic>

using namespace canebrake;
using namespace canebrake::test;
using Catch::Contains;
using Catch::StartsWith;
namespace fs = std::filesystem;

namespace
{

const std::string rough = "tempo 90 mf 1/8 G4_D5_G4_D5_G4_D5_G4_D5";
const std::string smooth = "tempo 66 p 1/4 G5_F5_E5_D5 1/1 C5";

/// Refused with this code in one line that begins with the program and says this.
void refused(const std::vector<std::string>& words, int code, const std::string& content)
{
    const Said said = spots_says(words);
    CAPTURE(words, said.out, said.err);
    CHECK(said.code == code);
    CHECK(said.out.empty());
    CHECK(std::count(said.err.begin(), said.err.end(), '\n') == 1);
    CHECK_THAT(said.err, StartsWith("canebrake: "));
    CHECK_THAT(said.err, Contains(content));
}

} // namespace

TEST_CASE("spots found are no failure: code 0, unless --fail-on asks for 7", "[spots][words]")
{
    const auto code = [](std::vector<std::string> words) { return spots_says(words).code; };
    CHECK(code({"--phrase", rough}) == 0);
    CHECK(code({"--phrase", smooth}) == 0);
    CHECK(code({"--phrase", rough, "--fail-on", "awkward"}) == 7);
    CHECK(code({"--phrase", rough, "--fail-on", "risky"}) == 0); // 3 crossings a second are only awkward
    CHECK(code({"--phrase", smooth, "--fail-on", "awkward"}) == 0);
    CHECK(code({"--phrase", "mf 1/4 C5 C2", "--fail-on", "unplayable"}) == 7);
    // What is not shown counts all the same, in both forms.
    CHECK(code({"--phrase", rough, "--fail-on", "awkward", "--min", "unplayable"}) == 7);
    CHECK(code({"--phrase", rough, "--fail-on", "awkward", "--json"}) == 7);
}

TEST_CASE("the first lines say who plays and whether it can be played", "[spots][words]")
{
    const auto lines = lines_of(spots_says({"--phrase", smooth}).out);
    REQUIRE(lines.size() >= 3);
    CHECK(lines[0] == "typed phrase: clarinet in B♭; studio player, at sight");
    CHECK(lines[1] == "Playable, and nothing stands in the way. 2 of 2 bars with notes are easy.");

    const auto rough_lines = lines_of(
        spots_says({"--phrase", rough, "--player", "learner", "--reading", "rehearsed", "--on", "A"}).out);
    CHECK(rough_lines.at(0) == "typed phrase: clarinet in A; learner player, rehearsed");

    const auto low = lines_of(spots_says({"--phrase", "mf 1/4 C5 C2"}).out);
    CHECK_THAT(low.at(1), StartsWith("Not playable as written: 1 place unplayable"));
}

TEST_CASE("the help names every option and the four severities", "[spots][words]")
{
    const Said help = spots_says({"--help"});
    CHECK(help.code == 0);
    CHECK(help.err.empty());
    for (const char* option : {"--min", "--json", "--fail-on", "--waive", "--annotate", "--for", "--reading",
                               "--kit", "--player", "--tempo", "--bars", "--part", "--on", "--phrase"})
        CHECK_THAT(help.out, Contains(option));
    for (const char* word : {"easy", "awkward", "risky", "unplayable", "teacher"})
        CHECK_THAT(help.out, Contains(word));
}

TEST_CASE("spots: calls that make no sense are refused in one line with code 2", "[spots][words]")
{
    const Folder folder;
    const std::string line = folder.put("line.musicxml", score_text({{"Clarinet", {rocking_bar}}}));
    const auto with = [&](const std::string& option, const std::string& value) {
        return std::vector<std::string>{"--phrase", rough, option, value};
    };
    refused({}, 2, "found nothing to read");
    refused({line, "--phrase", rough}, 2, "wanted one of them");
    refused({"--phrase", "1/8 C4 H4"}, 2, "character 8");
    refused({"--phrase", ""}, 2, "found no notes");
    refused(with("--min", "easy"), 2, "--min: found 'easy', wanted awkward, risky or unplayable");
    refused(with("--fail-on", "bad"), 2, "--fail-on: found 'bad'");
    refused(with("--reading", "twice"), 2, "sight, rehearsed or prepared");
    refused(with("--player", "robot"), 2, "ideal, studio or learner");
    refused(with("--tempo", "nan"), 2, "10 to 400");
    refused(with("--bars", "5-2"), 2, "lower number first");
    refused(with("--on", "kazoo"), 2, "kazoo");
    refused(with("--annotate", folder / "copy.pdf"), 2, ".musicxml or .xml or .mxl");
    refused(with("--for", "player"), 2, "together with --annotate");
    refused({"--phrase", rough, "--annotate", folder / "c.mxl", "--for", "nobody"}, 2, "writer or player");
    refused(with("--waive", "1"), 2, "a typed phrase has no list");
    refused(with("--loud", "yes"), 2, "--loud");
    for (const char* numbers : {"0", "-1", "3-1", "1,,2", "one", "1.5", "1-2-3", "99999999999999999999"})
        refused({line, std::string("--waive=") + numbers}, 2, "numbers of spots");
    refused({line, "--waive", "1,7"}, 2, "--waive: found 7, wanted numbers up to");
    refused({line, "--annotate", line}, 2, "another file than the line itself");
    CHECK(folder.names() == std::vector<std::string>{"line.musicxml"});
}

TEST_CASE("spots: files that are no music are refused in one line with code 3", "[spots][words]")
{
    const Folder folder;
    const std::string whole = score_text({{"Clarinet", {rocking_bar}}});
    refused({folder / "nowhere.musicxml"}, 3, "no such file");
    refused({folder.put("empty.mid", "")}, 3, "empty");
    refused({folder.put("letter.musicxml", "Dear clarinettist,\n")}, 3, "not music");
    refused({folder.put("cut.musicxml", whole.substr(0, whole.size() / 2))}, 3, "cut.musicxml");
    refused({folder.put("cut.mid", std::string("MThd\0\0\0\6\0", 9))}, 3, "cut.mid");
    refused({folder.put("cut.mxl", "PK\3\4 and no more")}, 3, "cut.mxl");
    refused({folder.put("page.xml", "<html><body>A4</body></html>")}, 3, "page.xml");
    refused({folder.put("rests.musicxml", score_text({{"Clarinet", {rest_bar, rest_bar}}}))}, 3, "no notes");
    refused(
        {folder.put("rests2.musicxml", score_text({{"Clarinet 1", {rest_bar}}, {"Clarinet 2", {rest_bar}}}))},
        3, "no notes");
    refused({folder.path.string()}, 3, "directory");
    refused({"--phrase", rough, "--kit", folder.put("kit.toml", "level = \"")}, 3, "kit.toml");
}

TEST_CASE("a damaged list of waived spots is refused with code 3 and stays as it is", "[spots][words][waive]")
{
    const Folder folder;
    const std::string line = folder.put("line.musicxml", score_text({{"Clarinet", {rocking_bar}}}));
    for (const char* list :
         {"", "{", "[]", "null", "17", "{\"schema\":\"something else\"}", "{\"schema\":17}",
          "{\"schema\":\"canebrake-waived\",\"version\":3,\"waived\":[],\"seen\":[]}",
          "{\"schema\":\"canebrake-waived\",\"version\":\"one\",\"waived\":[],\"seen\":[]}",
          "{\"schema\":\"canebrake-waived\",\"version\":1,\"waived\":[]}",
          "{\"schema\":\"canebrake-waived\",\"version\":1,\"waived\":[1],\"seen\":[]}",
          "{\"schema\":\"canebrake-waived\",\"version\":1,\"waived\":{},\"seen\":[]}"}) {
        INFO(list);
        const std::string file = folder.put("line.musicxml.waived.json", list);
        refused({line}, 3, "line.musicxml.waived.json");
        refused({line, "--waive", "all"}, 3, "line.musicxml.waived.json");
        CHECK(bytes_of(file) == list);
    }
}

TEST_CASE("spots: a copy that cannot be written is refused with code 6 and nothing is lost", "[spots][words]")
{
    const Folder folder;
    refused({"--phrase", rough, "--annotate", folder / "no/such/folder/copy.musicxml"}, 6, "no folder");
    fs::create_directory(folder.path / "folder.musicxml");
    refused({"--phrase", rough, "--annotate", folder / "folder.musicxml"}, 6, "folder");
    const std::string copy = folder.put("copy.musicxml", "yesterday's");
    refused({"--phrase", "1/8 C4 H4", "--annotate", copy}, 2, "character 8");
    CHECK(bytes_of(copy) == "yesterday's");
    if (::geteuid() != 0) { // root may write anywhere
        fs::permissions(folder.path, fs::perms::owner_read | fs::perms::owner_exec);
        refused({"--phrase", rough, "--annotate", folder / "new.musicxml"}, 6, "cannot write");
        fs::permissions(folder.path, fs::perms::owner_all);
    }
    CHECK(folder.names() == std::vector<std::string>{"copy.musicxml", "folder.musicxml"});
}

TEST_CASE("spots writes no file without being asked, and never into its input", "[spots][words]")
{
    const Folder folder;
    const std::string text = score_text({{"Clarinet", {rocking_bar, low_bar}}});
    const std::string line = folder.put("line.musicxml", text);
    for (const std::vector<std::string>& words :
         {std::vector<std::string>{line}, {line, "--json"}, {line, "--fail-on", "awkward"}})
        spots_says(words);
    CHECK(folder.names() == std::vector<std::string>{"line.musicxml"});
    CHECK(spots_says({line, "--annotate", folder / "copy.musicxml"}).code == 0);
    CHECK(spots_says({line, "--waive", "1"}).code == 0);
    CHECK(folder.names() ==
          std::vector<std::string>{"copy.musicxml", "line.musicxml", "line.musicxml.waived.json"});
    CHECK(bytes_of(line) == text);
}

TEST_CASE("a line that is broken off tells nothing and writes nothing", "[spots][words]")
{
    const Folder folder;
    const std::string line = folder.put("line.musicxml", score_text({{"Clarinet", {rocking_bar}}}));
    const std::atomic<bool> stop{true};
    std::ostringstream out, err;
    const std::vector<std::string> words{"spots", line, "--annotate", folder / "copy.musicxml"};
    CHECK(run(words, Console{out, err, 0, &stop}) == 1);
    CHECK(out.str().empty());
    CHECK(folder.names() == std::vector<std::string>{"line.musicxml"});
}
