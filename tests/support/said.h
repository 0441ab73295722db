// SPDX-License-Identifier: MIT
#pragma once

#include "cli/run.h"
#include "cli/terminal/columns.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <sstream>
#include <string>
#include <vector>

namespace canebrake::test
{

/// What the program said to some words, and its exit code.
struct Said {
    int code;
    std::string out, err;
};

inline Said canebrake_says(const std::vector<std::string>& args)
{
    std::ostringstream out, err;
    const int code = run(args, out, err);
    return {code, out.str(), err.str()};
}

inline std::string first_line(const std::string& text)
{
    return text.substr(0, text.find('\n'));
}

inline std::vector<std::string> lines_of(const std::string& text)
{
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);)
        lines.push_back(line);
    return lines;
}

/// In columns, not bytes.
inline std::size_t widest_line(const std::string& text)
{
    std::size_t widest = 0;
    for (const std::string& line : lines_of(text))
        widest = std::max(widest, columns_of(line));
    return widest;
}

/// The program must fail in one clear line of this content, and say nothing else.
inline void check_refused(const std::vector<std::string>& args, int code, const std::string& content)
{
    const Said said = canebrake_says(args);
    CAPTURE(args, said.err);
    CHECK(said.code == code);
    CHECK(said.out.empty());
    CHECK(std::count(said.err.begin(), said.err.end(), '\n') == 1);
    CHECK_THAT(said.err, Catch::StartsWith("canebrake: "));
    CHECK_THAT(said.err, Catch::Contains(content));
}

} // namespace canebrake::test
