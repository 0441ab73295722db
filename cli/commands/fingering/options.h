// SPDX-License-Identifier: MIT
#pragma once

#include "cli/options/parser.h"
#include "engine/fingering/question.h"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace canebrake
{

/// What `canebrake fingering` was asked, checked.
struct FingeringRequest : FingeringQuestion {
    bool json = false;
    bool utf8 = false; ///< the terminal can show more than ASCII
    std::optional<std::filesystem::path> picture{};
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

} // namespace canebrake
