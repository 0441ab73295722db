// SPDX-License-Identifier: MIT
#pragma once

// Sound servers without a sound card, one for each test.
#include "tests/cli/child_program.h"

#include <cstring>
#include <memory>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <vector>

namespace canebrake
{

/// What a child sees of the machine: no sound server but the test's own, no cache but the test's own.
inline Environment silent_machine(const OwnFolder& folder)
{
    return {{"HOME", folder.string()},
            {"XDG_RUNTIME_DIR", folder.string()},
            {"XDG_CACHE_HOME", folder / "cache"},
            {"CANEBRAKE_NO_CACHE", ""},
            {"PULSE_SERVER", "unix:" + folder / "native"},
            {"ASAN_OPTIONS", "detect_leaks=0"}, // RtAudio 5.2 keeps 88 bytes of each question to PulseAudio
            {"JACK_NO_START_SERVER", "1"},
            // One name for all: jackd keeps room for eight names on a machine, and frees none until it comes
            // again.
            {"JACK_DEFAULT_SERVER", "canebrake-test"},
            {"NO_COLOR", "1"}};
}

/// PulseAudio that plays into a pipe at the pace of the clock; what comes out is kept: float, stereo.
class PipeServer
{
public:
    explicit PipeServer(const OwnFolder& folder, const Environment& environment)
        : capture_(folder / "capture.f32")
    {
        const std::string pipe = folder / "pipe";
        if (::mkfifo(pipe.c_str(), 0600) != 0)
            return;
        // The reader first: the server would wait for it.
        reader_ = std::make_unique<ChildProgram>(
            folder, "reader",
            std::vector<std::string>{"sh", "-c", "exec cat '" + pipe + "' > '" + capture_ + "'"},
            environment);
        server_ = std::make_unique<ChildProgram>(
            folder, "pulse",
            std::vector<std::string>{
                "pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no",
                "--disallow-exit", "--disable-shm=yes", "--realtime=no", "--high-priority=no",
                "--log-target=stderr", "-L",
                "module-pipe-sink sink_name=pipe_of_the_test file=" + pipe +
                    " format=float32le rate=48000 channels=2 use_system_clock_for_timing=yes",
                "-L", "module-native-protocol-unix auth-anonymous=1 socket=" + folder / "native"},
            environment);
        for (int tries = 0; tries < 400 && !ready_; ++tries) {
            std::this_thread::sleep_for(std::chrono::milliseconds(25));
            ready_ = answers(folder / "native");
        }
    }
    ~PipeServer() { stop(); }
    bool ready() const { return ready_; }
    /// Ends the server; everything it played is in the capture then.
    void stop(int signal = SIGTERM)
    {
        if (server_)
            server_->signal(signal);
        if (server_ && !server_->ends_within(5.0))
            server_->signal(SIGKILL);
        if (reader_)
            reader_->ends_within(5.0);
        server_.reset();
        reader_.reset();
    }
    /// What was captured so far, the left channel; both must be equal.
    std::vector<float> left(bool& both_equal) const
    {
        std::ifstream in(capture_, std::ios::binary);
        const std::string bytes{std::istreambuf_iterator<char>(in), {}};
        std::vector<float> all(bytes.size() / sizeof(float)), left;
        std::memcpy(all.data(), bytes.data(), all.size() * sizeof(float));
        both_equal = true;
        for (std::size_t i = 0; i + 1 < all.size(); i += 2) {
            left.push_back(all[i]);
            both_equal = both_equal && all[i] == all[i + 1];
        }
        return left;
    }

private:
    static bool answers(const std::string& path)
    {
        sockaddr_un address{};
        address.sun_family = AF_UNIX;
        std::strncpy(address.sun_path, path.c_str(), sizeof address.sun_path - 1);
        const int socket = ::socket(AF_UNIX, SOCK_STREAM, 0);
        const bool yes = ::connect(socket, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0;
        ::close(socket);
        return yes;
    }
    std::string capture_;
    std::unique_ptr<ChildProgram> reader_, server_;
    bool ready_ = false;
};

/// jackd with its driver for no card at all.
class JackServer
{
public:
    JackServer(const OwnFolder& folder, const Environment& environment, unsigned rate, unsigned period)
    {
        server_ = std::make_unique<ChildProgram>(
            folder, "jack",
            std::vector<std::string>{"jackd", "-r", "-t", "5000", "-n", environment.at("JACK_DEFAULT_SERVER"),
                                     "-d", "dummy", "-r", std::to_string(rate), "-p", std::to_string(period)},
            environment);
        for (int tries = 0; tries < 100 && !ready_ && !server_->ends_within(0.1); ++tries) {
            ChildProgram asks(folder, "jack_lsp", {"jack_lsp", "-s", environment.at("JACK_DEFAULT_SERVER")},
                              environment);
            ready_ = asks.ends_within(10.0) && asks.out().find("system:playback_1") != std::string::npos;
        }
    }
    ~JackServer() { stop(); }
    bool ready() const { return ready_; }
    void stop()
    {
        if (server_)
            server_->signal(SIGTERM);
        if (server_ && !server_->ends_within(5.0))
            server_->signal(SIGKILL);
        server_.reset();
    }

private:
    std::unique_ptr<ChildProgram> server_;
    bool ready_ = false;
};

} // namespace canebrake
