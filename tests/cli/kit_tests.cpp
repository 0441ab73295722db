// SPDX-License-Identifier: MIT
#include "cli/commands/render/options.h"
#include "cli/run.h"
#include "engine/files/kit_file.h"
#include "models/units/input_error.h"
#include <CLI/CLI.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <sstream>
#include <unistd.h>

using namespace canebrake;
namespace fs = std::filesystem;

namespace
{

const fs::path example = fs::path(CANEBRAKE_SOURCE_DIR) / "assets/kits/plain.toml";

std::string bytes_of(const fs::path& path)
{
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

Kit kit_of(const std::string& text)
{
    return read_kit(text, "kit.toml");
}

/// The one line that refuses this kit.
std::string refusal(const std::string& text)
{
    try {
        kit_of(text);
    } catch (const InputError& error) {
        const std::string what = error.what();
        CHECK(error.fault() == Fault::unreadable);
        CHECK(what.find('\n') == std::string::npos);
        return what;
    }
    FAIL("was taken: " << text);
    return {};
}

bool same(const Kit& a, const Kit& b)
{
    return a.level == b.level && a.reading == b.reading && a.left_a_flat_lever == b.left_a_flat_lever &&
           a.articulated_c_sharp == b.articulated_c_sharp && a.low_e_flat == b.low_e_flat &&
           a.low_c_bass == b.low_c_bass && a.double_tongue == b.double_tongue &&
           a.circular_breathing == b.circular_breathing && a.instruments == b.instruments;
}

/// A file of the test's own, gone with it.
struct OwnFile {
    explicit OwnFile(const std::string& bytes)
        : path(fs::temp_directory_path() / ("canebrake-kit-" + std::to_string(::getpid()) + ".toml"))
    {
        std::ofstream(path, std::ios::binary) << bytes;
    }
    ~OwnFile()
    {
        std::error_code error;
        fs::remove(path, error);
    }
    fs::path path;
};

/// What `render` makes of these words, without rendering.
RenderRequest asked(std::vector<std::string> words)
{
    CLI::App app;
    RenderOptions options(app);
    words.insert(words.end(), {"--phrase", "G4", "-o", "out.wav"});
    std::reverse(words.begin(), words.end()); // the order CLI11 takes them in
    app.parse(words);
    return options.request();
}

} // namespace

TEST_CASE("the example kit is what is taken when nothing is said, and explains every key", "[kit]")
{
    CHECK(same(read_kit(example), Kit{}));
    CHECK(same(kit_of(""), Kit{}));
    std::istringstream lines(bytes_of(example));
    std::vector<std::string> explained;
    bool remark = false;
    for (std::string line; std::getline(lines, line);) {
        if (const auto equals = line.find(" = "); !line.starts_with('#') && equals != std::string::npos) {
            INFO(line);
            CHECK(remark);
            explained.push_back(line.substr(0, equals));
        }
        remark = line.starts_with('#');
    }
    CHECK(explained == kit_keys());
}

TEST_CASE("every entry of a kit is read", "[kit]")
{
    const Kit kit = kit_of("level = \"learner\"\nreading = \"prepared\"\nleft-a-flat-lever = true\n"
                           "articulated-c-sharp = true\nlow-e-flat = true\nlow-c-bass = true\n"
                           "double-tongue = true\ncircular-breathing = true\n"
                           "instruments = [\"bass\", \"A\", \"bass\"]\n");
    CHECK(kit.level == Player::learner);
    CHECK(kit.reading == Reading::prepared);
    CHECK(kit.left_a_flat_lever);
    CHECK(kit.articulated_c_sharp);
    CHECK(kit.low_e_flat);
    CHECK(kit.low_c_bass);
    CHECK(kit.double_tongue);
    CHECK(kit.circular_breathing);
    CHECK(kit.instruments == std::vector<std::string>{"bass", "A"});
    CHECK(kit_of("level = \"ideal\"\nreading = \"rehearsed\"").reading == Reading::rehearsed);
    // Each alone sets its own entry and no other.
    for (const std::string& key : kit_keys()) {
        if (key == "level" || key == "reading" || key == "instruments")
            continue;
        const Kit one = kit_of(key + " = true");
        CHECK(one.left_a_flat_lever + one.articulated_c_sharp + one.low_e_flat + one.low_c_bass +
                  one.double_tongue + one.circular_breathing ==
              1);
    }
}

TEST_CASE("what is wrong in a kit is told by line number with the words that are allowed", "[kit]")
{
    CHECK(refusal("# mine\n\nlevle = \"studio\"") ==
          "kit.toml:3: found 'levle', wanted level, reading, left-a-flat-lever, articulated-c-sharp, "
          "low-e-flat, low-c-bass, double-tongue, circular-breathing or instruments");
    CHECK(refusal("level = \"expert\"") ==
          "kit.toml:1: found level = 'expert', wanted \"ideal\", \"studio\" or \"learner\"");
    CHECK(refusal("level = 3") ==
          "kit.toml:1: found level = a number, wanted \"ideal\", \"studio\" or \"learner\"");
    CHECK(refusal("\nreading = true") ==
          "kit.toml:2: found reading = true, wanted \"sight\", \"rehearsed\" or \"prepared\"");
    CHECK(refusal("low-e-flat = \"yes\"") == "kit.toml:1: found low-e-flat = 'yes', wanted true or false");
    CHECK(refusal("low-e-flat = 1") == "kit.toml:1: found low-e-flat = a number, wanted true or false");
    CHECK(refusal("instruments = \"A\"").find("wanted a list of them") != std::string::npos);
    CHECK(refusal("instruments = []").find("an empty list") != std::string::npos);
    const std::string unknown = refusal("instruments = [\n  \"A\",\n  \"oboe\"\n]");
    CHECK(unknown.starts_with("kit.toml:3: found 'oboe' among the instruments, wanted \"A-flat\", "));
    CHECK(unknown.ends_with("\"contra-alto\" or \"contrabass\""));
    CHECK(refusal("instruments = [1]").starts_with("kit.toml:1: found a number among the instruments"));
    CHECK(refusal("[player]\nlevel = \"studio\"").starts_with("kit.toml:1: found 'player', wanted level"));
    CHECK(refusal("\"a\\nb\" = 1").starts_with("kit.toml:1: found 'a?b', wanted level"));
}

TEST_CASE("a kit that is no TOML is told by line number", "[kit]")
{
    for (const std::string damaged :
         {"level = studio", "level = \"studio", "level", "= true", "level = \"studio\" reading = \"sight\"",
          "low-e-flat = true\nlow-e-flat = true", "instruments = [\"A\"", "level = \"\xff\xfe\""}) {
        INFO(damaged);
        const std::string line = refusal(damaged);
        INFO(line);
        CHECK(line.starts_with("kit.toml:"));
        CHECK(line.find(": found no TOML (") != std::string::npos);
        CHECK(line.find("with the keys level, reading") != std::string::npos);
    }
    CHECK(refusal("# fine\nlow-e-flat = true\nlevel = studio").starts_with("kit.toml:3:"));
    CHECK_FALSE(refusal(std::string("level = \"studio\"\n\0\0", 19)).empty());
    CHECK(refusal(std::string(70000, '#')).find("64 KB") != std::string::npos);
}

TEST_CASE("four thousand damaged kits are taken or refused in one line", "[kit]")
{
    const std::string whole = bytes_of(example);
    std::mt19937 random(11);
    int refused = 0;
    for (int trial = 0; trial < 4000; ++trial) {
        std::string bytes = whole;
        for (int damage = 0; damage < 1 + trial % 8; ++damage)
            bytes[random() % bytes.size()] = char(random() % 256);
        if (trial % 5 == 0)
            bytes.resize(random() % bytes.size());
        try {
            kit_of(bytes);
        } catch (const InputError& error) {
            ++refused;
            const std::string what = error.what();
            REQUIRE(what.find('\n') == std::string::npos);
            REQUIRE(what.size() < 1000);
        }
    }
    CHECK(refused > 400);
}

TEST_CASE("the kit goes with the request, and a player named on the command line wins over its level",
          "[kit][words]")
{
    const OwnFile file("level = \"learner\"\ndouble-tongue = true\n");
    const std::string path = file.path.string();
    CHECK(asked({}).settings.player == Player::studio);
    CHECK(same(asked({}).settings.kit, Kit{}));
    const auto learner = asked({"--kit", path}).settings;
    CHECK(learner.player == Player::learner);
    CHECK(learner.kit.level == Player::learner);
    CHECK(learner.kit.double_tongue);
    const auto ideal = asked({"--player", "ideal", "--kit", path}).settings;
    CHECK(ideal.player == Player::ideal);
    CHECK(ideal.kit.level == Player::ideal);
    CHECK(ideal.kit.double_tongue);
    CHECK(asked({"--player", "studio", "--kit", path}).settings.player == Player::studio);
}

TEST_CASE("a kit that cannot be read ends render with code 3 and one line", "[kit][words]")
{
    const auto says = [](const std::string& kit) {
        std::ostringstream out, err;
        const int code = run(
            std::vector<std::string>{"render", "--phrase", "G4", "-o", "/nowhere-at-all/x.wav", "--kit", kit},
            out, err);
        CHECK(code == 3);
        const std::string said = err.str();
        CHECK(std::count(said.begin(), said.end(), '\n') == 1);
        return said;
    };
    CHECK(says("/no/such/kit.toml") ==
          "canebrake: /no/such/kit.toml: found no such file, wanted a player's kit\n");
    CHECK(says(fs::temp_directory_path().string()).find("found a directory") != std::string::npos);
    const OwnFile file("level = 7\n");
    CHECK(says(file.path.string()).find(".toml:1: found level = a number") != std::string::npos);
}
