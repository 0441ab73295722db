// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/line_options.h"

#include <filesystem>
#include <string>
#include <vector>

namespace canebrake
{

/// What `canebrake compare` was asked to do, checked.
struct CompareRequest : LineRequest {
    enum class Kind { tones, line, recordings };
    Kind kind = Kind::tones;
    std::vector<std::filesystem::path> recordings; ///< two or more
    std::vector<int> notes;                        ///< chromatic numbers, rising; empty: the whole compass
    std::vector<double> levels;                    ///< rungs of the ladder, softest first
    std::vector<std::string> instruments;          ///< family names; of a line, empty: as the file says
    std::vector<Player> players;                   ///< at least one
    std::vector<std::filesystem::path> destinations;
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
