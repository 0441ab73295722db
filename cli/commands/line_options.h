// SPDX-License-Identifier: MIT
#pragma once

#include "cli/read/read.h"
#include "engine/synthesis/rendering.h"

#include <CLI/CLI.hpp>

#include <filesystem>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace canebrake
{

/// Which line, who plays it, and how: what every command that takes a line is asked, checked.
struct LineRequest {
    std::filesystem::path line;                ///< empty: a typed phrase
    std::optional<std::string> phrase{};       ///< the typed phrase
    std::string part;                          ///< empty: none chosen
    std::optional<std::pair<int, int>> bars{}; ///< first and last printed number
    PitchBasis pitch = PitchBasis::as_file;
    std::optional<double> tempo{}; ///< quarters a minute at the start
    std::string instrument;        ///< what the part is printed for; empty: as it says itself
    std::string on;                ///< what the player brings; empty: the same
    std::filesystem::path kit;     ///< the kit's file; empty: none
    RenderSettings settings;
};

/// What a command does with its line: `judges`, so that it matters how well the line is known; `compares`, so
/// that there may be several files, clarinets and players.
enum class LineUse { plays, judges, compares };

/// The words for a LineRequest. Every value comes as text and is checked here, so that one line can say what
/// was found and what range is wanted.
class LineOptions
{
public:
    explicit LineOptions(CLI::App& command, LineUse use = LineUse::plays);
    LineOptions(const LineOptions&) = delete; // the command points into this
    LineOptions& operator=(const LineOptions&) = delete;

    /// InputError (Fault::usage) naming the option, what was found and what was wanted. `command`: for the
    /// message when there is no line. Of a command that compares: without clarinet and player, and only of
    /// one file.
    LineRequest request(std::string_view command) const;
    LineRequest request_without_line() const;

    /// What was given to a command that compares. Each clarinet and player is known, none comes twice.
    const std::vector<std::string>& files() const { return files_; }
    bool phrase_given() const { return phrase_given_->count() > 0; }
    std::vector<std::string> instruments() const; ///< names in the family; empty: not said
    std::vector<Player> players() const;          ///< empty: not said

    /// A file to be written must end as what it holds, so that a slip of the pen cannot replace the score,
    /// and be another file than those that are read.
    std::filesystem::path destination(std::string_view option, const std::string& text,
                                      std::initializer_list<std::string_view> endings) const;

    static constexpr const char* what = "What is played";
    static constexpr const char* who = "Who plays";

private:
    LineRequest request_with(LineRequest) const; ///< all but the line itself

    LineUse use_;
    std::vector<std::string> files_;
    std::string phrase_, part_, bars_, pitch_, tempo_, instrument_, on_, a4_, temperature_, player_, kit_,
        reading_, seed_, barrel_;
    CLI::Option* phrase_given_ = nullptr;
    CLI::Option* player_given_ = nullptr;
    CLI::Option* kit_given_ = nullptr;
    CLI::Option* part_given_ = nullptr;
};

} // namespace canebrake
