// SPDX-License-Identifier: MIT
#include "engine/files/whole_file.h"

#include "models/units/input_error.h"

#include <atomic>
#include <cerrno>
#include <cstring>
#include <unistd.h>
#include <utility>

namespace canebrake
{
namespace
{
namespace fs = std::filesystem;

[[noreturn]] void fail(const fs::path& path, const std::string& reason)
{
    throw InputError("cannot write " + path.string() + ": " + reason, Fault::unwritable);
}

} // namespace

WholeFile::WholeFile(const fs::path& destination) : destination_(destination)
{
    std::error_code error;
    if (fs::is_symlink(destination, error))
        if (const fs::path target = fs::canonical(destination, error); !target.empty())
            destination_ = target;
    const auto status = fs::status(destination_, error);
    if (fs::exists(status) && !fs::is_regular_file(status))
        fail(destination, fs::is_directory(status) ? "it is a folder, wanted a file"
                                                   : "it is a device or a pipe, wanted a plain file");
    static std::atomic<unsigned> made{0};
    for (int tries = 0; tries < 100 && file_ == nullptr; ++tries) {
        beside_ = destination_.parent_path() /
                  (".canebrake-" + std::to_string(::getpid()) + "-text-" + std::to_string(made++) + ".part");
        file_ = std::fopen(beside_.c_str(), "wxe"); // x: never one that is there already
        if (file_ == nullptr && errno != EEXIST)
            break;
    }
    if (file_ == nullptr) {
        const int reason = errno;
        beside_.clear();
        fail(destination, reason == ENOENT || reason == ENOTDIR
                              ? "there is no folder " + destination_.parent_path().string()
                              : std::strerror(reason));
    }
}

WholeFile::~WholeFile()
{
    if (file_ != nullptr)
        std::fclose(file_);
    if (!beside_.empty())
        ::unlink(beside_.c_str());
}

void WholeFile::write(std::string_view text)
{
    if (std::fwrite(text.data(), 1, text.size(), file_) != text.size())
        fail(destination_, std::strerror(errno));
}

void WholeFile::flush()
{
    if (std::fflush(file_) != 0)
        fail(destination_, std::strerror(errno));
}

void WholeFile::finish()
{
    if (std::fclose(std::exchange(file_, nullptr)) != 0 ||
        ::rename(beside_.c_str(), destination_.c_str()) != 0)
        fail(destination_, std::strerror(errno));
    beside_.clear();
}

} // namespace canebrake
