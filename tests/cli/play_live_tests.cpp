// SPDX-License-Identifier: MIT
// The finished program on real sound servers: PulseAudio playing into a pipe, JACK without a card, and none.
#include "cli/audio/audio_file.h"
#include "tests/cli/sound_server.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <poll.h>
#include <sys/ioctl.h>
#include <termios.h>

using namespace canebrake;

namespace
{

const std::string program = CANEBRAKE_PROGRAM;
const std::string phrase =
    "tempo 120 meter 2/4 mf 1/8 G4_A4_Bb4_C5 bar D5 C5 1/4 A4 bar 1/8 E4 G4 C5 E5 bar 1/2 C4";
constexpr double opening_s = 0.400, look_ahead_s = 0.0015;

std::vector<std::string> playing(const std::vector<std::string>& words)
{
    std::vector<std::string> all{program, "play", "--phrase", phrase};
    all.insert(all.end(), words.begin(), words.end());
    return all;
}

/// What `render` writes for it. The cache is warm afterwards.
std::vector<float> rendering(const OwnFolder& folder, const Environment& environment,
                             const std::string& rate = "48000")
{
    ChildProgram child(folder, "render",
                       {program, "render", "--phrase", phrase, "--bits", "float", "--rate", rate, "-o",
                        folder / "render.wav"},
                       environment);
    REQUIRE(child.ends_within(120.0));
    REQUIRE(child.code() == 0);
    return read_audio(folder / "render.wav").samples;
}

/// Where `sound` begins in `capture`, told by its last half-second of music; −1: nowhere.
std::ptrdiff_t found_at(const std::vector<float>& capture, const std::vector<float>& sound)
{
    const auto key = std::size_t(std::lround(double(sound.size()) * 0.5));
    const auto hit = std::search(capture.begin(), capture.end(), sound.begin() + std::ptrdiff_t(key),
                                 sound.begin() + std::ptrdiff_t(key) + 4800);
    return hit == capture.end() ? -1 : hit - capture.begin() - std::ptrdiff_t(key);
}

std::size_t lines(const std::string& text)
{
    return std::size_t(std::count(text.begin(), text.end(), '\n'));
}

float peak(const std::vector<float>& sound)
{
    float most = 0.0f;
    for (const float x : sound)
        most = std::max(most, std::abs(x));
    return most;
}

bool no_pulse()
{
    if (is_installed("pulseaudio"))
        return false;
    WARN("skipped, pulseaudio is not installed");
    return true;
}

/// Waits until a file holds at least so many bytes.
bool grows_to(const std::string& path, std::uintmax_t bytes, double seconds)
{
    const auto until = std::chrono::steady_clock::now() + std::chrono::duration<double>(seconds);
    std::error_code error;
    while (std::filesystem::file_size(path, error) < bytes || error) {
        if (std::chrono::steady_clock::now() > until)
            return false;
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    return true;
}

} // namespace

TEST_CASE("without any sound server play says so in one line and ends with 8", "[play][live][fault]")
{
    const OwnFolder folder;
    const Environment machine = silent_machine(folder);
    for (const auto& words :
         {playing({}), playing({"--device", "speakers"}), playing({"--record", folder / "r.wav"}),
          std::vector<std::string>{program, "play", "--list-devices"}}) {
        ChildProgram child(folder, "play", words, machine);
        REQUIRE(child.ends_within(30.0));
        CAPTURE(child.err());
        CHECK(child.code() == 8);
        CHECK(child.out().empty());
        CHECK(lines(child.err()) == 1);
        CHECK_THAT(child.err(), Catch::StartsWith("canebrake: found no sound device"));
    }
    CHECK_FALSE(std::filesystem::exists(folder / "r.wav"));
}

TEST_CASE("what reaches the sound server is what render writes, sample for sample, after the opening fade",
          "[play][live]")
{
    if (no_pulse())
        return;
    const OwnFolder folder;
    const Environment machine = silent_machine(folder);
    const std::vector<float> expected = rendering(folder, machine);
    REQUIRE(peak(expected) < 0.89f); // below the limiter's threshold
    PipeServer server(folder, machine);
    REQUIRE(server.ready());

    ChildProgram list(folder, "list", {program, "play", "--list-devices"}, machine);
    REQUIRE(list.ends_within(30.0));
    CHECK(list.code() == 0);
    CHECK(list.err().empty());
    CHECK_THAT(list.out(), Catch::Contains("  1  ") &&
                               Catch::Contains("(pulse, 2 channels, its usual one;") &&
                               Catch::Contains("48000"));

    ChildProgram child(folder, "play",
                       playing({"--gain", "0", "--record", folder / "kept.wav", "--delay", "200"}), machine);
    REQUIRE(child.ends_within(60.0));
    CAPTURE(child.out(), child.err());
    CHECK(child.code() == 0);
    CHECK(child.err().empty());
    CHECK(lines(child.out()) == 1);
    CHECK_THAT(child.out(), Catch::Contains("s, clarinet in B♭, studio; nothing came late"));
    server.stop();

    const auto fade = std::size_t(opening_s * 48000) + 1;
    bool both = false;
    const std::vector<float> captured = server.left(both);
    CHECK(both);
    const std::ptrdiff_t at = found_at(captured, expected);
    REQUIRE(at >= 0);
    REQUIRE(std::size_t(at) + expected.size() <= captured.size());
    std::size_t different = 0;
    for (std::size_t i = fade; i < expected.size(); ++i)
        different += captured[std::size_t(at) + i] != expected[i];
    CHECK(different == 0);
    // Before: never louder than the rendering; after: nothing.
    bool louder = false;
    for (std::size_t i = 0; i < fade; ++i)
        louder = louder || std::abs(captured[std::size_t(at) + i]) > std::abs(expected[i]);
    CHECK_FALSE(louder);
    CHECK(peak({captured.begin() + at + std::ptrdiff_t(expected.size()), captured.end()}) == 0.0f);

    // And so is what was recorded.
    const std::vector<float> kept = read_audio(folder / "kept.wav").samples;
    const auto late = std::size_t(std::lround(look_ahead_s * 48000));
    REQUIRE(kept.size() >= expected.size() + late);
    CHECK(std::equal(expected.begin() + std::ptrdiff_t(fade), expected.end(),
                     kept.begin() + std::ptrdiff_t(fade + late)));
    CHECK(read_audio(folder / "kept.wav").rate.value == 48000.0);
}

TEST_CASE("unasked it plays 12 dB softer, in bars that are asked for, round and round until it is stopped",
          "[play][live]")
{
    if (no_pulse())
        return;
    const OwnFolder folder;
    const Environment machine = silent_machine(folder);
    const std::vector<float> expected = rendering(folder, machine);
    PipeServer server(folder, machine);
    REQUIRE(server.ready());
    ChildProgram child(folder, "play", playing({"--loop", "2-3", "--record", folder / "kept.wav"}), machine);
    REQUIRE_FALSE(child.ends_within(7.0)); // the whole phrase lasts 4.4 s
    child.signal(SIGINT);
    REQUIRE(child.ends_within(5.0));
    CAPTURE(child.out(), child.err());
    CHECK(child.code() == 128 + SIGINT); // tells the shell the truth
    CHECK(child.err().empty());
    CHECK_THAT(child.out(), Catch::Contains("played ") && Catch::Contains("nothing came late"));
    const std::vector<float> kept = read_audio(folder / "kept.wav").samples;
    REQUIRE(kept.size() > std::size_t(5.0 * 48000));
    const float loud = peak(expected), soft = peak(kept);
    CHECK(20.0 * std::log10(soft / loud) < -11.0);
    CHECK(20.0 * std::log10(soft / loud) > -16.0);
    // Two rounds of bars 2 and 3 (2 s) are the same.
    const std::size_t round = 2 * 48000, from = std::size_t(2.5 * 48000);
    CHECK(std::equal(kept.begin() + from, kept.begin() + std::ptrdiff_t(from + 48000),
                     kept.begin() + std::ptrdiff_t(from + round)));
    // Ctrl-C fades: the last 50 ms sink to nothing, without a step.
    CHECK(std::abs(kept.back()) < 1e-4f);
    float step = 0.0f;
    for (std::size_t i = kept.size() - 2400; i < kept.size(); ++i)
        step = std::max(step, std::abs(kept[i] - kept[i - 1]));
    CHECK(step < 0.5f * soft);
}

TEST_CASE("a device or a rate that is not there is told with what is", "[play][live][fault]")
{
    if (no_pulse())
        return;
    const OwnFolder folder;
    const Environment machine = silent_machine(folder);
    PipeServer server(folder, machine);
    REQUIRE(server.ready());
    const std::vector<std::pair<std::vector<std::string>, std::string>> refused{
        {{"--device", "tuba"}, "--device: found 'tuba', which no device is called, wanted one of: 1 '"},
        // A shorter number can stand in the folder's own name, which is part of the device's.
        {{"--device", "99999999"}, "--device: found '99999999', which no device is called"},
        {{"--rate", "50000"}, "--rate: found 50000, which '"},
    };
    for (const auto& [words, text] : refused) {
        ChildProgram child(folder, "play", playing(words), machine);
        REQUIRE(child.ends_within(30.0));
        CAPTURE(child.err());
        CHECK(child.code() == 8);
        CHECK(lines(child.err()) == 1);
        CHECK_THAT(child.err(), Catch::StartsWith("canebrake: " + text));
    }
    for (const auto& words : {playing({"--from-bar", "99"}), playing({"--loop", "3-99"})}) {
        ChildProgram child(folder, "play", words, machine);
        REQUIRE(child.ends_within(60.0));
        CHECK(child.code() == 2);
        CHECK(lines(child.err()) == 1);
    }
}

TEST_CASE("a sound server that goes away while it plays is told in one line, with what was recorded kept",
          "[play][live][fault]")
{
    if (no_pulse())
        return;
    for (const int how : {SIGTERM, SIGKILL}) {
        const OwnFolder folder;
        const Environment machine = silent_machine(folder);
        rendering(folder, machine);
        PipeServer server(folder, machine);
        REQUIRE(server.ready());
        ChildProgram child(folder, "play", playing({"--record", folder / "kept.wav", "--loop", "1-4"}),
                           machine);
        REQUIRE(grows_to(folder / "capture.f32", 1, 20.0));
        CHECK_FALSE(child.ends_within(2.0));
        server.stop(how);
        REQUIRE(child.ends_within(8.0));
        CAPTURE(child.err(), child.out());
        CHECK(child.code() == 8);
        CHECK(lines(child.err()) == 1);
        CHECK_THAT(child.err(), Catch::StartsWith("canebrake: the sound server or '"));
        CHECK(child.out().empty());
        CHECK(read_audio(folder / "kept.wav").samples.size() > 24000);
    }
}

TEST_CASE("a program that is held up says that the device ran dry", "[play][live][fault]")
{
    if (no_pulse())
        return;
    const OwnFolder folder;
    const Environment machine = silent_machine(folder);
    rendering(folder, machine);
    PipeServer server(folder, machine);
    REQUIRE(server.ready());
    ChildProgram child(folder, "play", playing({}), machine);
    bool both = false;
    for (int tries = 0; tries < 2000 && peak(server.left(both)) == 0.0f; ++tries)
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    child.signal(SIGSTOP);
    std::this_thread::sleep_for(std::chrono::milliseconds(600));
    child.signal(SIGCONT);
    REQUIRE(child.ends_within(30.0));
    CHECK(child.code() == 0);
    CHECK_THAT(child.out(),
               Catch::Contains("; the device ran dry ") && !Catch::Contains("nothing came late"));
}

namespace
{

/// A terminal with somebody in front of it.
class Terminal
{
public:
    Terminal()
    {
        mine_ = ::posix_openpt(O_RDWR | O_NOCTTY);
        ::grantpt(mine_);
        ::unlockpt(mine_);
        theirs_ = ::open(::ptsname(mine_), O_RDWR | O_NOCTTY);
        const winsize size{24, 80, 0, 0};
        ::ioctl(theirs_, TIOCSWINSZ, &size);
    }
    ~Terminal() { close(); }
    int theirs() const { return theirs_; }
    void type(const std::string& keys) const
    {
        CHECK(::write(mine_, keys.data(), keys.size()) == ssize_t(keys.size()));
    }
    /// Reads on until it shows `text`, at most so long; what came since the last call.
    bool shows(const std::string& text, double seconds)
    {
        const auto until = std::chrono::steady_clock::now() + std::chrono::duration<double>(seconds);
        std::string fresh;
        while (fresh.find(text) == std::string::npos) {
            if (std::chrono::steady_clock::now() > until)
                return false;
            pollfd in{mine_, POLLIN, 0};
            char bytes[512];
            if (::poll(&in, 1, 20) > 0) {
                const ssize_t got = ::read(mine_, bytes, sizeof bytes);
                if (got <= 0)
                    return false;
                fresh.append(bytes, std::size_t(got));
                all_.append(bytes, std::size_t(got));
            }
        }
        return true;
    }
    const std::string& all() const { return all_; }
    void close()
    {
        if (mine_ >= 0) {
            ::close(mine_);
            ::close(theirs_);
        }
        mine_ = theirs_ = -1;
    }

private:
    int mine_ = -1, theirs_ = -1;
    std::string all_;
};

} // namespace

TEST_CASE("on a terminal every key does what the help says, and each drawn line fits", "[play][live][keys]")
{
    if (no_pulse())
        return;
    const OwnFolder folder;
    Environment machine = silent_machine(folder);
    machine["TERM"] = "xterm";
    rendering(folder, machine);
    PipeServer server(folder, machine);
    REQUIRE(server.ready());
    Terminal terminal;
    ChildProgram child(folder, "play", playing({"--loop", "1-4"}), machine, terminal.theirs());
    REQUIRE(terminal.shows("beat 2", 30.0));
    terminal.type(" ");
    CHECK(terminal.shows("paused", 5.0));
    terminal.type("\033[C");
    CHECK(terminal.shows("bar ", 5.0));
    terminal.type(" ");
    CHECK(terminal.shows("beat ", 5.0));
    terminal.type("l");
    CHECK(terminal.shows("learner", 20.0));
    terminal.type("c");
    CHECK(terminal.shows(" learner A ", 20.0));
    terminal.type("i");
    CHECK(terminal.shows("ideal", 20.0));
    terminal.type("\033[A");
    CHECK(terminal.shows("126 ideal", 20.0));
    terminal.type("w");
    CHECK(terminal.shows("120 ideal", 20.0));
    terminal.type("f");
    CHECK(terminal.shows("-9 dB", 5.0));
    terminal.type("pp");
    CHECK(terminal.shows("-15 dB", 5.0));
    terminal.type("3-4\r");
    CHECK(terminal.shows("|:3-4:|", 5.0));
    terminal.type(":");
    CHECK(terminal.shows("bar ", 5.0));
    terminal.type("77\r");
    CHECK(terminal.shows("found no bar 77", 5.0));
    terminal.type("1\r");
    CHECK(terminal.shows("bar 1 ", 5.0));
    terminal.type("t");
    CHECK(terminal.shows("tacet", 5.0));
    terminal.type("q");
    CHECK(terminal.shows("played ", 10.0));
    REQUIRE(child.ends_within(5.0));
    CHECK(child.code() == 0);
    std::string line;
    std::size_t longest = 0;
    for (const char c : terminal.all() + "\n")
        if (c == '\r' || c == '\n') {
            if (const std::size_t wipe = line.find("\033[K"); wipe != std::string::npos)
                line.erase(wipe);
            if (line.find("played") == std::string::npos)
                longest = std::max(longest, line.size());
            line.clear();
        } else {
            line += c;
        }
    CHECK(longest < 80);
    // The terminal gets its line editing and echo back.
    termios after{};
    REQUIRE(::tcgetattr(terminal.theirs(), &after) == 0);
    CHECK((after.c_lflag & (ICANON | ECHO)) == (ICANON | ECHO));
}

TEST_CASE("a terminal that is closed ends the music", "[play][live][fault]")
{
    if (no_pulse())
        return;
    const OwnFolder folder;
    Environment machine = silent_machine(folder);
    machine["TERM"] = "xterm";
    rendering(folder, machine);
    PipeServer server(folder, machine);
    REQUIRE(server.ready());
    Terminal terminal;
    ChildProgram child(folder, "play", playing({"--loop", "1-4", "--record", folder / "kept.wav"}), machine,
                       terminal.theirs());
    REQUIRE(terminal.shows("beat 2", 30.0));
    terminal.close();
    REQUIRE(child.ends_within(5.0));
    CHECK((child.code() == 0 || child.code() == 128 + SIGHUP));
    CHECK(std::abs(read_audio(folder / "kept.wav").samples.back()) < 1e-4f);
}

TEST_CASE("on JACK it plays at the server's own rate, sample for sample", "[play][live]")
{
    if (!is_installed("jackd")) {
        WARN("skipped, jackd is not installed");
        return;
    }
    const OwnFolder folder;
    const Environment machine = silent_machine(folder);
    const std::vector<float> expected = rendering(folder, machine, "44100");
    JackServer server(folder, machine, 44100, 1024);
    if (!server.ready()) {
        WARN("skipped, jackd does not run here");
        return;
    }
    ChildProgram child(folder, "play", playing({"--gain", "0", "--record", folder / "kept.wav"}), machine);
    REQUIRE(child.ends_within(60.0));
    CAPTURE(child.out(), child.err());
    CHECK(child.code() == 0);
    CHECK(child.err().empty());
    CHECK_THAT(child.out(), Catch::Contains("played ") && !Catch::Contains("from the rendering"));
    const std::vector<float> kept = read_audio(folder / "kept.wav").samples;
    CHECK(read_audio(folder / "kept.wav").rate.value == 44100.0);
    const auto late = std::size_t(std::lround(look_ahead_s * 44100)),
               fade = std::size_t(opening_s * 44100) + 1;
    REQUIRE(kept.size() >= expected.size() + late);
    CHECK(std::equal(expected.begin() + std::ptrdiff_t(fade), expected.end(),
                     kept.begin() + std::ptrdiff_t(fade + late)));

    ChildProgram other(folder, "other", playing({"--rate", "48000"}), machine);
    REQUIRE(other.ends_within(30.0));
    CHECK(other.code() == 8);
    CHECK_THAT(other.err(), Catch::Contains("wanted one of: 44100"));

    ChildProgram left(folder, "left", playing({"--loop", "1-4"}), machine);
    CHECK_FALSE(left.ends_within(3.0));
    server.stop(); // killed, jackd would leave its shared memory behind, and only eight servers have room
    REQUIRE(left.ends_within(10.0));
    CAPTURE(left.err());
    CHECK(left.code() == 8);
    CHECK(lines(left.err()) == 1);
}

TEST_CASE("a ten-minute part starts within a second", "[play][live][slow]")
{
    if (no_pulse())
        return;
    const OwnFolder folder;
    const Environment machine = silent_machine(folder);
    std::string words = "tempo 100 meter 4/4 mf";
    for (int bar = 0; bar < 250; ++bar) // 250 bars of 2.4 s
        words += bar % 2 == 0 ? " 1/8 G4_A4_Bb4_C5 D5 E5 F5 G5 bar" : " 1/4 E5_C5 1/8 A4 B4 C5 G4 bar";
    ChildProgram warm(folder, "warm",
                      {program, "render", "--phrase", words, "--bars", "1-2", "-o", folder / "w.wav"},
                      machine);
    REQUIRE(warm.ends_within(120.0));
    PipeServer server(folder, machine);
    REQUIRE(server.ready());
    Environment told = machine;
    ChildProgram child(folder, "play", {program, "play", "--phrase", words, "--record", folder / "kept.wav"},
                       told);
    const auto begun = std::chrono::steady_clock::now();
    double sounds_s = -1.0;
    while (sounds_s < 0.0 && !child.ends_within(0.01)) {
        bool both = false;
        if (peak(server.left(both)) > 0.0f)
            sounds_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
        if (std::chrono::steady_clock::now() - begun > std::chrono::seconds(20))
            break;
    }
    WARN("first sound at the sound server after " << sounds_s << " s");
    CHECK(sounds_s > 0.0);
    CHECK(sounds_s < 1.0);
}

TEST_CASE("half an hour on JACK without a card: nothing late of ours, and the memory stays as it is",
          "[play][live][slow][long]")
{
    if (!is_installed("jackd")) {
        WARN("skipped, jackd is not installed");
        return;
    }
    const char* const asked = std::getenv("CANEBRAKE_LIVE_MINUTES"); // for a shorter look
    const double minutes = asked != nullptr ? std::atof(asked) : 30.0;
    const OwnFolder folder;
    const Environment machine = silent_machine(folder);
    rendering(folder, machine);
    JackServer server(folder, machine, 48000, 512);
    if (!server.ready()) {
        WARN("skipped, jackd does not run here");
        return;
    }
    ChildProgram child(folder, "play", playing({"--loop", "1-4"}), machine);
    const auto resident_kb = [&] {
        std::ifstream status("/proc/" + std::to_string(child.pid()) + "/status");
        for (std::string word; status >> word;)
            if (word == "VmRSS:") {
                long kb = 0;
                status >> kb;
                return kb;
            }
        return 0L;
    };
    REQUIRE_FALSE(child.ends_within(std::min(30.0, minutes * 20.0)));
    const long before = resident_kb();
    REQUIRE_FALSE(child.ends_within(minutes * 60.0 - std::min(30.0, minutes * 20.0)));
    const long after = resident_kb();
    child.signal(SIGINT);
    REQUIRE(child.ends_within(10.0));
    WARN(child.out() << "memory " << before << " kB, then " << after << " kB");
    CHECK_THAT(child.out(), !Catch::Contains("from the rendering"));
    CHECK(before > 0);
    CHECK(after < before + 2048);
}
