// SPDX-License-Identifier: MIT
#pragma once

#include "cli/audio/wav_file.h"
#include "cli/options/line_options.h"

#include <filesystem>
#include <optional>
#include <string>

namespace canebrake
{

/// What `canebrake render` was asked to do, checked.
struct RenderRequest : LineRequest {
    std::filesystem::path destination;
    std::optional<std::filesystem::path> events;
    SampleFormat format = SampleFormat::pcm24;
    bool strict = false;
};

/// The words of `canebrake render`.
class RenderOptions
{
public:
    explicit RenderOptions(CLI::App& command);
    RenderOptions(const RenderOptions&) = delete; // the command points into this
    RenderOptions& operator=(const RenderOptions&) = delete;

    /// InputError (Fault::usage) naming the option, what was found and what was wanted.
    RenderRequest request() const;

private:
    LineOptions line_;
    std::string destination_, events_, room_, rate_, bits_ = "24";
    bool strict_ = false;
    CLI::Option* events_given_ = nullptr;
};

} // namespace canebrake
