// SPDX-License-Identifier: MIT
#pragma once

#include "cli/options/line_options.h"

#include <filesystem>
#include <optional>
#include <string>
#include <utility>

namespace canebrake
{

/// What `canebrake play` was asked to do, checked.
struct PlayRequest : LineRequest {
    bool list_devices = false; ///< and nothing else
    std::string device;        ///< empty: the usual one
    std::optional<unsigned> rate{};
    Decibels gain{-12.0};
    Seconds delay{0.080}; ///< of the device's buffers
    std::optional<std::filesystem::path> record{};
    std::optional<std::pair<int, int>> round{}; ///< bars to repeat, by printed number
    std::optional<int> from_bar{};
};

/// The words of `canebrake play`.
class PlayOptions
{
public:
    explicit PlayOptions(CLI::App& command);
    PlayOptions(const PlayOptions&) = delete; // the command points into this
    PlayOptions& operator=(const PlayOptions&) = delete;

    /// InputError (Fault::usage) naming the option, what was found and what was wanted.
    PlayRequest request() const;

private:
    LineOptions line_;
    std::string device_, rate_, gain_, delay_, record_, loop_, from_bar_, room_;
    bool list_ = false;
    CLI::Option *device_given_ = nullptr, *record_given_ = nullptr;
};

} // namespace canebrake
