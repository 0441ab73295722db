// SPDX-License-Identifier: MIT
#pragma once

#include "cli/audio/wav_file.h"
#include "cli/read/read.h"
#include "engine/synthesis/rendering.h"

#include <CLI/CLI.hpp>

#include <filesystem>
#include <optional>
#include <string>
#include <utility>

namespace canebrake
{

/// What `canebrake render` was asked to do, checked.
struct RenderRequest {
    std::filesystem::path line;        ///< empty: a typed phrase
    std::optional<std::string> phrase; ///< the typed phrase
    std::filesystem::path destination;
    std::optional<std::filesystem::path> events;
    std::string part;                        ///< empty: none chosen
    std::optional<std::pair<int, int>> bars; ///< first and last printed number
    PitchBasis pitch = PitchBasis::as_file;
    std::optional<double> tempo; ///< quarters a minute at the start
    std::string instrument;      ///< what the part is printed for; empty: as it says itself
    std::string on;              ///< what the player brings; empty: the same
    RenderSettings settings;
    SampleFormat format = SampleFormat::pcm24;
    bool strict = false;
};

/// The words of `canebrake render`. Every value comes as text and is checked here, so that one line can say
/// what was found and what range is wanted.
class RenderOptions
{
public:
    explicit RenderOptions(CLI::App& command);
    RenderOptions(const RenderOptions&) = delete; // the command points into this
    RenderOptions& operator=(const RenderOptions&) = delete;

    /// InputError (Fault::usage) naming the option, what was found and what was wanted.
    RenderRequest request() const;

private:
    std::string line_, phrase_, destination_, events_, part_, bars_, pitch_, tempo_, instrument_, on_, a4_,
        temperature_, player_, kit_, seed_, rate_, bits_ = "24";
    bool strict_ = false;
    std::string room_, barrel_;
    CLI::Option* phrase_given_ = nullptr;
    CLI::Option* events_given_ = nullptr;
    CLI::Option* player_given_ = nullptr;
    CLI::Option* kit_given_ = nullptr;
    CLI::Option* part_given_ = nullptr;
};

} // namespace canebrake
