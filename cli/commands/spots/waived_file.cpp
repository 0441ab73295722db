// SPDX-License-Identifier: MIT
#include "cli/commands/spots/waived_file.h"

#include "engine/storage/whole_file.h"

#include <fstream>
#include <sstream>

namespace canebrake
{
namespace
{

std::filesystem::path beside(const std::filesystem::path& line)
{
    return line.string() + ".waived.json";
}

} // namespace

WaivedList read_waived(const std::filesystem::path& line)
{
    const std::filesystem::path path = beside(line);
    std::ifstream file(path);
    if (!file)
        return {};
    std::ostringstream text;
    text << file.rdbuf();
    return {text.str(), path.string()};
}

void write_waived(const std::filesystem::path& line, const WaivedList& waived)
{
    write_whole(beside(line), waived.json());
}

} // namespace canebrake
