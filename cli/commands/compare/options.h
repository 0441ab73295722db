// SPDX-License-Identifier: MIT
#pragma once

#include "cli/options/line_options.h"
#include "engine/comparison/request.h"

#include <filesystem>
#include <string>
#include <vector>

namespace canebrake
{

/// What `canebrake compare` was asked to do, checked.
struct CompareRequest : ComparisonRequest {
    std::vector<std::filesystem::path> recordings{}; ///< two or more files
    std::vector<std::filesystem::path> destinations{};
    bool json = false;
};

/// The words of `canebrake compare`.
class CompareOptions
{
public:
    explicit CompareOptions(CLI::App& command);
    CompareOptions(const CompareOptions&) = delete; // the command points into this
    CompareOptions& operator=(const CompareOptions&) = delete;

    /// InputError (Fault::usage) naming the option, what was found and what was wanted.
    CompareRequest request() const;

private:
    LineOptions line_;
    std::string notes_, dynamics_;
    std::vector<std::string> destinations_;
    bool json_ = false;
};

} // namespace canebrake
