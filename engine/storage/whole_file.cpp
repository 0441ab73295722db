// SPDX-License-Identifier: MIT
#include "engine/storage/whole_file.h"

#include "models/units/input_error.h"

#include <atomic>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <unistd.h>
#include <utility>

namespace canebrake
{
namespace
{
namespace fs = std::filesystem;

constexpr std::size_t block_bytes = 65536;

[[noreturn]] void fail(const fs::path& path, const std::string& reason)
{
    throw InputError("cannot write " + path.string() + ": " + reason, Fault::unwritable);
}

/// Where the file will really lie.
fs::path place_of(const fs::path& wanted)
{
    std::error_code error;
    if (wanted.empty())
        fail(wanted, "it names no file");
    fs::path path = fs::is_symlink(wanted, error) ? fs::canonical(wanted, error) : wanted;
    if (path.empty()) // a link to nothing
        path = wanted;
    const auto status = fs::status(path, error);
    if (fs::is_directory(status) || !path.has_filename())
        fail(wanted, "it is a folder, wanted a file");
    if (fs::exists(status) && !fs::is_regular_file(status))
        fail(wanted, "it is a device or a pipe, wanted a plain file");
    return path.has_parent_path() ? path : fs::path(".") / path;
}

/// To the disk, past the system's buffers; some file systems cannot, and are not asked twice.
bool sync(int fd)
{
    return ::fsync(fd) == 0 || errno == EINVAL || errno == ENOTSUP || errno == EROFS;
}

/// The new name itself is on the disk only when its folder is. Best effort: the file is in place by then.
void sync_folder(const fs::path& folder)
{
    const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return;
    ::fsync(fd);
    ::close(fd);
}

} // namespace

WholeFile::WholeFile(const fs::path& destination, mode_t permissions) : destination_(place_of(destination))
{
    static std::atomic<unsigned> made{0};
    for (int tries = 0; tries < 100 && fd_ < 0; ++tries) {
        beside_ = destination_.parent_path() / (".canebrake-" + std::to_string(::getpid()) + "-" +
                                                std::to_string(made++) + std::string(unfinished));
        fd_ = ::open(beside_.c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, permissions);
        if (fd_ < 0 && errno != EEXIST)
            break;
    }
    if (fd_ < 0) {
        const int reason = errno;
        beside_.clear();
        fail(destination, reason == ENOENT || reason == ENOTDIR
                              ? "there is no folder " + destination_.parent_path().string()
                              : std::strerror(reason));
    }
}

WholeFile::~WholeFile()
{
    if (fd_ >= 0)
        ::close(fd_);
    if (!beside_.empty())
        ::unlink(beside_.c_str());
}

void WholeFile::write(std::string_view bytes)
{
    waiting_ += bytes;
    if (waiting_.size() >= block_bytes)
        flush();
}

void WholeFile::flush()
{
    std::string_view rest = waiting_;
    while (!rest.empty()) {
        const auto written = ::write(fd_, rest.data(), rest.size());
        if (written < 0 && errno == EINTR)
            continue;
        if (written <= 0)
            fail(destination_, written < 0 ? std::strerror(errno) : "the disk takes no more");
        rest.remove_prefix(std::size_t(written));
    }
    waiting_.clear();
}

void WholeFile::finish()
{
    flush();
    if (!sync(fd_) || ::close(std::exchange(fd_, -1)) != 0 ||
        ::rename(beside_.c_str(), destination_.c_str()) != 0)
        fail(destination_, std::strerror(errno));
    beside_.clear();
    sync_folder(destination_.parent_path());
}

void write_whole(const fs::path& path, std::string_view bytes)
{
    WholeFile file(path);
    file.write(bytes);
    file.finish();
}

} // namespace canebrake
