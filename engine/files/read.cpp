// SPDX-License-Identifier: MIT
#include "engine/files/read.h"

#include "engine/files/midi/read_midi.h"
#include "engine/files/musicxml/read_musicxml.h"
#include "models/units/input_error.h"

#include <fmt/format.h>
#include <fstream>

namespace canebrake
{
namespace
{

constexpr std::uintmax_t largest_file = std::uintmax_t(256) << 20;

/// XML in any of its usual encodings: a byte order mark, or "<" after blanks, in one or two bytes.
bool looks_like_xml(std::string_view bytes)
{
    if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF"))
        return true;
    if (bytes.starts_with("\xEF\xBB\xBF"))
        bytes.remove_prefix(3);
    using namespace std::string_view_literals;
    if (bytes.starts_with("<\0"sv) || bytes.starts_with("\0<"sv))
        return true;
    const std::size_t first = bytes.find_first_not_of(" \t\r\n");
    return first != std::string_view::npos && bytes[first] == '<';
}

} // namespace

std::string load_score(const std::filesystem::path& path)
{
    const std::string name = path.string();
    std::error_code error;
    const auto status = std::filesystem::status(path, error);
    if (status.type() == std::filesystem::file_type::not_found)
        throw InputError(name + ": found no such file, wanted MusicXML or a Standard MIDI File");
    if (error)
        throw InputError(name + ": cannot be looked at (" + error.message() + ")");
    if (std::filesystem::is_directory(status))
        throw InputError(name + ": found a directory, wanted MusicXML or a Standard MIDI File");

    std::ifstream in(path, std::ios::binary);
    if (!in)
        throw InputError(name + ": cannot be opened for reading");
    std::string bytes;
    std::string block(1 << 16, '\0');
    while (in.read(block.data(), std::streamsize(block.size())) || in.gcount() > 0) {
        bytes.append(block, 0, std::size_t(in.gcount()));
        if (bytes.size() > largest_file)
            throw InputError(
                fmt::format("{}: found more than {} MB, wanted a score", name, largest_file >> 20));
    }
    if (in.bad())
        throw InputError(name + ": cannot be read to its end");
    return bytes;
}

Score read_score(const std::filesystem::path& path)
{
    return read_score(load_score(path), path.string());
}

Score read_score(std::string_view bytes, const std::string& name)
{
    if (bytes.empty())
        throw InputError(name + ": found an empty file, wanted MusicXML or a Standard MIDI File");
    if (bytes.starts_with("MThd") || (bytes.starts_with("RIFF") && bytes.substr(0, 12).ends_with("RMID")))
        return read_midi(bytes, name);
    if (bytes.starts_with("PK") || looks_like_xml(bytes))
        return read_musicxml(bytes, name);
    throw InputError(name + ": not music we can read: wanted MusicXML or a Standard MIDI File");
}

} // namespace canebrake
