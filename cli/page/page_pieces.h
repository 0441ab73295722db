// SPDX-License-Identifier: MIT
#pragma once

#include <string_view>

namespace canebrake
{

/// Style or script of the page, and its SHA-256 in hexadecimal.
struct PagePiece {
    std::string_view text, sha256;
};

/// From assets/page; the template's places are named in double braces.
extern const std::string_view page_template;
extern const PagePiece page_style, page_plot_script, page_script;

} // namespace canebrake
