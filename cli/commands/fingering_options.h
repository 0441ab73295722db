// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/kit.h"

#include <CLI/CLI.hpp>

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace canebrake
{

/// What `canebrake fingering` was asked, checked.
struct FingeringRequest {
    std::vector<std::string> notes; ///< one or two, pitch names
    bool trill = false;
    std::string instrument = "B-flat";
    Kit kit;
    bool sounding = false; ///< the notes are meant as they sound
    bool json = false;
    bool utf8 = false; ///< the terminal can show more than ASCII
    std::optional<std::filesystem::path> picture;
};

/// The words of `canebrake fingering`.
class FingeringOptions
{
public:
    explicit FingeringOptions(CLI::App& command);
    FingeringOptions(const FingeringOptions&) = delete; // the command points into this
    FingeringOptions& operator=(const FingeringOptions&) = delete;

    /// InputError naming the option, what was found and what was wanted (Fault::usage), or what is wrong with
    /// the kit (Fault::unreadable).
    FingeringRequest request() const;

private:
    std::vector<std::string> notes_;
    std::string instrument_ = "B-flat", kit_, pitch_ = "written", picture_;
    bool trill_ = false, json_ = false, ascii_ = false;
    CLI::Option* kit_given_ = nullptr;
    CLI::Option* picture_given_ = nullptr;
};

/// Whether the locale of the environment writes UTF-8: the first of LC_ALL, LC_CTYPE and LANG that is set
/// decides (POSIX).
bool locale_is_utf8();

} // namespace canebrake
