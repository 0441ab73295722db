// SPDX-License-Identifier: MIT
#pragma once

#include "cli/options/parser.h"
#include "engine/part/line_request.h"

#include <filesystem>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace canebrake
{

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
    bool phrase_given() const;
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
