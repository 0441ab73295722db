// SPDX-License-Identifier: MIT
#pragma once

#include "cli/options/line_options.h"
#include "engine/plan/grade.h"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace canebrake
{

/// What `canebrake spots` was asked, checked.
struct SpotsRequest : LineRequest {
    Grade least = Grade::awkward;   ///< what is shown
    std::optional<Grade> fail_on{}; ///< exit code 7 from here on
    bool json = false;
    bool compare = true;                         ///< which instrument suits best
    std::optional<std::filesystem::path> copy{}; ///< the part back, with words at the spots
    bool for_player = false;                     ///< of the copy
    std::vector<int> waive{};                    ///< numbers of spots; with `waive_all` all
    bool waive_all = false;
    std::string reason{}; ///< why they are accepted
    bool utf8 = true;
};

/// The words of `canebrake spots`.
class SpotsOptions
{
public:
    explicit SpotsOptions(CLI::App& command);
    SpotsOptions(const SpotsOptions&) = delete; // the command points into this
    SpotsOptions& operator=(const SpotsOptions&) = delete;

    /// InputError (Fault::usage) naming the option, what was found and what was wanted.
    SpotsRequest request() const;

private:
    LineOptions line_;
    std::string least_, fail_on_, copy_, for_, waive_, reason_;
    bool json_ = false;
    CLI::Option* copy_given_ = nullptr;
};

} // namespace canebrake
