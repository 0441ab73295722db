// SPDX-License-Identifier: MIT
#pragma once

// Programs run as their users run them: in processes of their own, with their own environment.
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <fcntl.h>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <optional>
#include <string>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>
#include <vector>

namespace canebrake
{

/// A folder of the test's own, gone with it.
class OwnFolder
{
public:
    OwnFolder()
    {
        std::string name = (std::filesystem::temp_directory_path() / "canebrake-live-XXXXXX").string();
        if (::mkdtemp(name.data()) != nullptr)
            path_ = name;
    }
    ~OwnFolder()
    {
        std::error_code error;
        std::filesystem::remove_all(path_, error);
    }
    OwnFolder(const OwnFolder&) = delete;
    OwnFolder& operator=(const OwnFolder&) = delete;
    std::string operator/(const std::string& name) const { return (path_ / name).string(); }
    std::string string() const { return path_.string(); }

private:
    std::filesystem::path path_;
};

using Environment = std::map<std::string, std::string>;

/// One running child; killed with this at the latest.
class ChildProgram
{
public:
    /// `terminal`: a file descriptor that becomes its standard input, output, error and controlling terminal;
    /// else input is empty and what it says goes to files in `folder`.
    ChildProgram(const OwnFolder& folder, const std::string& name, std::vector<std::string> words,
                 const Environment& environment, int terminal = -1)
        : out_(folder / (name + ".out")), err_(folder / (name + ".err")),
          begun_(std::chrono::steady_clock::now())
    {
        std::vector<char*> argv;
        for (std::string& word : words)
            argv.push_back(word.data());
        argv.push_back(nullptr);
        pid_ = ::fork();
        if (pid_ != 0)
            return;
        for (const int number : {SIGINT, SIGTERM, SIGHUP, SIGPIPE})
            std::signal(number, SIG_DFL);
        for (const auto& [key, value] : environment)
            value.empty() ? ::unsetenv(key.c_str()) : ::setenv(key.c_str(), value.c_str(), 1);
        if (terminal >= 0) {
            ::setsid();
            const int again = ::open(::ttyname(terminal), O_RDWR); // becomes the controlling terminal
            for (const int number : {0, 1, 2})
                ::dup2(again, number);
        } else {
            ::dup2(::open("/dev/null", O_RDONLY), 0);
            ::dup2(::open(out_.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), 1);
            ::dup2(::open(err_.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), 2);
        }
        for (int other = 3; other < 256; ++other)
            ::close(other);
        ::execvp(argv[0], argv.data());
        ::_exit(127);
    }
    ~ChildProgram()
    {
        if (!ended_) {
            ::kill(pid_, SIGKILL);
            ::waitpid(pid_, &status_, 0);
        }
    }
    ChildProgram(const ChildProgram&) = delete;
    ChildProgram& operator=(const ChildProgram&) = delete;

    pid_t pid() const { return pid_; }
    void signal(int number) const { ::kill(pid_, number); }
    /// Whether it ended within so many seconds.
    bool ends_within(double seconds)
    {
        const auto until = std::chrono::steady_clock::now() + std::chrono::duration<double>(seconds);
        while (!ended_) {
            ended_ = ::waitpid(pid_, &status_, WNOHANG) == pid_;
            if (!ended_ && std::chrono::steady_clock::now() > until)
                return false;
            if (!ended_)
                std::this_thread::sleep_for(std::chrono::milliseconds(5));
        }
        if (took_s_ == 0.0)
            took_s_ = std::chrono::duration<double>(std::chrono::steady_clock::now() - begun_).count();
        return true;
    }
    /// Exit code; 128 + number if a signal ended it.
    int code() const { return WIFEXITED(status_) ? WEXITSTATUS(status_) : 128 + WTERMSIG(status_); }
    double took_s() const { return took_s_; }
    std::string out() const { return text(out_); }
    std::string err() const { return text(err_); }

private:
    static std::string text(const std::string& path)
    {
        std::ifstream in(path, std::ios::binary);
        return {std::istreambuf_iterator<char>(in), {}};
    }
    std::string out_, err_;
    std::chrono::steady_clock::time_point begun_;
    pid_t pid_ = -1;
    int status_ = 0;
    bool ended_ = false;
    double took_s_ = 0.0;
};

inline bool is_installed(const std::string& program)
{
    return std::system(("command -v " + program + " >/dev/null 2>&1").c_str()) == 0;
}

} // namespace canebrake
