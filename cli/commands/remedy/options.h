// SPDX-License-Identifier: MIT
#pragma once

#include "cli/options/line_options.h"
#include "engine/workbench/taking.h"

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace canebrake
{

/// What `canebrake remedy` was asked, checked.
struct RemedyRequest : LineRequest {
    int spot = 0;                                       ///< its number; 0: all of them
    std::size_t most = 3;                               ///< remedies a spot
    std::vector<RemedyNumber> take{};                   ///< to write
    std::optional<std::filesystem::path> destination{}; ///< of what is written
    bool which_clarinet = false;
    std::string for_instrument{}; ///< write the part for this one; empty: not asked
    bool json = false;
    bool utf8 = true;
};

/// The words of `canebrake remedy`.
class RemedyOptions
{
public:
    explicit RemedyOptions(CLI::App& command);
    RemedyOptions(const RemedyOptions&) = delete; // the command points into this
    RemedyOptions& operator=(const RemedyOptions&) = delete;

    /// InputError (Fault::usage) naming the option, what was found and what was wanted.
    RemedyRequest request() const;

private:
    LineOptions line_;
    std::string spot_, most_, take_, destination_, for_instrument_;
    bool which_ = false, json_ = false;
};

} // namespace canebrake
