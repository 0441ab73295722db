// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <string>
#include <string_view>

namespace canebrake
{

/// A typed phrase; errors point at the character (Fault::usage). One part, at printed pitch: the caller sets
/// the basis, `written` unless told otherwise.
Score read_phrase(std::string_view text);

/// How a phrase is typed: text for the command line's help, at most 80 columns wide.
std::string phrase_grammar();

} // namespace canebrake
