// SPDX-License-Identifier: MIT
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <sys/types.h>

namespace canebrake
{

/// A file that appears whole or not at all: written beside its destination; `finish` brings it to the disk
/// and renames it into place. Without `finish` nothing remains and what was there is untouched. A link is
/// followed; a destination that is there already must be a plain file. Throws InputError (Fault::unwritable)
/// naming the path and the system's reason.
class WholeFile
{
public:
    /// What the name of an unfinished file ends with; a program that was killed may leave one behind.
    static constexpr std::string_view unfinished = ".part";

    explicit WholeFile(const std::filesystem::path& destination, mode_t permissions = 0666);
    ~WholeFile();
    WholeFile(const WholeFile&) = delete;
    WholeFile& operator=(const WholeFile&) = delete;

    void write(std::string_view bytes);
    /// What was written has left the program; the file can still be given up.
    void flush();
    void finish();

    /// For a library that writes for itself, at any place; not to be mixed with `write`.
    int descriptor() const { return fd_; }

private:
    std::filesystem::path destination_, beside_;
    std::string waiting_;
    int fd_ = -1;
};

/// A whole file in one go. InputError (Fault::unwritable).
void write_whole(const std::filesystem::path&, std::string_view bytes);

} // namespace canebrake
