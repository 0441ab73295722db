// SPDX-License-Identifier: MIT
#pragma once

#include <cstdio>
#include <filesystem>
#include <string>
#include <string_view>

namespace canebrake
{

/// A text file that appears whole or not at all: written beside its destination, renamed into place by
/// `finish`; without `finish` nothing remains and what was there is untouched. A link is followed. Throws
/// InputError (Fault::unwritable) naming the path and the system's reason.
class WholeFile
{
public:
    explicit WholeFile(const std::filesystem::path& destination);
    ~WholeFile();
    WholeFile(const WholeFile&) = delete;
    WholeFile& operator=(const WholeFile&) = delete;

    void write(std::string_view text);
    /// Everything is on its way to the disk; the file can still be given up.
    void flush();
    void finish();

private:
    std::filesystem::path destination_, beside_;
    std::FILE* file_ = nullptr;
};

} // namespace canebrake
