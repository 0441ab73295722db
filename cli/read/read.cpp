// SPDX-License-Identifier: MIT
#include "cli/read/read.h"

#include "models/units/input_error.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <fstream>

namespace canebrake
{
namespace
{

constexpr std::uintmax_t largest_file = std::uintmax_t(256) << 20;

/// The file's bytes, or one line saying why not.
std::string load(const std::filesystem::path& path)
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
    if (bytes.empty())
        throw InputError(name + ": found an empty file, wanted MusicXML or a Standard MIDI File");
    return bytes;
}

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

/// The track a MIDI part comes from, or 0: only MIDI notes carry "track N event M".
int track_of(const Line& part)
{
    int track = 0;
    if (part.notes.empty() || !part.notes[0].source.id.starts_with("track "))
        return 0;
    const std::string& id = part.notes[0].source.id;
    std::from_chars(id.data() + 6, id.data() + id.size(), track);
    return track;
}

std::string listing(const std::vector<Line>& parts)
{
    std::string text;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const Line& part = parts[i];
        const std::string name = part.part_name.empty() ? "" : ", " + part.part_name;
        text += fmt::format("\n  {}  {}{}: {} note{}", i + 1, part.part_id, name, part.notes.size(),
                            part.notes.size() == 1 ? "" : "s");
    }
    return text;
}

/// The parts a choice can mean, by the first of these that fits any: id, name, "track N" or "channel N" of a
/// MIDI file, number.
std::vector<const Line*> parts_meant(const Score& score, const std::string& choice)
{
    std::vector<const Line*> meant;
    const auto take = [&](auto&& fits) {
        for (const Line& part : score.parts)
            if (meant.size() < score.parts.size() && fits(part))
                meant.push_back(&part);
        return !meant.empty();
    };
    if (take([&](const Line& part) { return part.part_id == choice; }) ||
        take([&](const Line& part) { return part.part_name == choice; }) || take([&](const Line& part) {
            return track_of(part) > 0 && choice == fmt::format("track {}", track_of(part));
        }) ||
        take([&](const Line& part) {
            return track_of(part) > 0 && choice == "channel " + part.notes[0].source.voice;
        }))
        return meant;
    std::size_t number = 0;
    const auto [end, error] = std::from_chars(choice.data(), choice.data() + choice.size(), number);
    if (error == std::errc() && end == choice.data() + choice.size() && number >= 1 &&
        number <= score.parts.size())
        meant.push_back(&score.parts[number - 1]);
    return meant;
}

} // namespace

Score read_score(const std::filesystem::path& path)
{
    const std::string bytes = load(path);
    const std::string name = path.string();
    if (bytes.starts_with("MThd") || (bytes.starts_with("RIFF") && bytes.substr(0, 12).ends_with("RMID")))
        return read_midi(bytes, name);
    if (bytes.starts_with("PK") || looks_like_xml(bytes))
        return read_musicxml(bytes, name);
    throw InputError(name + ": not music we can read: wanted MusicXML or a Standard MIDI File");
}

Line choose_part(const Score& score, const std::string& choice)
{
    std::vector<const Line*> meant;
    if (choice.empty()) {
        for (const Line& part : score.parts)
            if (!part.notes.empty())
                meant.push_back(&part);
        if (meant.empty())
            throw InputError("found no notes in any part of the score");
        if (meant.size() > 1)
            throw InputError("found several parts, wanted the choice of one:" + listing(score.parts),
                             Fault::needs_choice);
    } else {
        meant = parts_meant(score, choice);
        if (meant.empty())
            throw InputError(
                fmt::format("found no part '{}', wanted one of these:{}", choice, listing(score.parts)),
                Fault::needs_choice);
        if (meant.size() > 1)
            throw InputError(fmt::format("found {} parts called '{}', wanted one by id or number:{}",
                                         meant.size(), choice, listing(score.parts)),
                             Fault::needs_choice);
        if (meant[0]->notes.empty())
            throw InputError(fmt::format("found no notes in part '{}'", choice));
    }
    Line line = *meant[0];
    for (const std::string& remark : score.remarks)
        if (std::find(line.remarks.begin(), line.remarks.end(), remark) == line.remarks.end())
            line.remarks.push_back(remark);
    return line;
}

void set_pitch_basis(Line& line, PitchBasis basis, int transposition)
{
    set_pitch_basis(line, basis, [transposition](double) { return transposition; });
}

void set_pitch_basis(Line& line, PitchBasis basis, const std::function<int(double)>& transposition)
{
    if (basis == PitchBasis::as_file)
        return;
    // A microtone is what is left of sounding − printed beside the file's own transposition: that of the
    // nearest note before (or else after) without one.
    const auto shift = [](const Note& note) { return note.sounding.number - note.printed; };
    const auto whole = [&](const Note& note) { return shift(note) == std::round(shift(note)); };
    const auto first = std::find_if(line.notes.begin(), line.notes.end(), whole);
    double file_transposition = first != line.notes.end() ? shift(*first) : 0.0;
    if (first == line.notes.end() && !line.notes.empty())
        file_transposition = std::trunc(shift(line.notes[0]));
    for (Note& note : line.notes) {
        if (whole(note))
            file_transposition = shift(note);
        const double microtone = shift(note) - file_transposition;
        note.sounding.number =
            note.printed + microtone + (basis == PitchBasis::written ? transposition(note.start_quarter) : 0);
    }
    line.written_known = basis == PitchBasis::written;
}

void place_in_bars(Line& line)
{
    std::size_t bar = 0;
    for (Note& note : line.notes) {
        if (line.bars.empty())
            return;
        while (bar + 1 < line.bars.size() && line.bars[bar + 1].start_quarter <= note.start_quarter + 1e-9)
            ++bar;
        const Bar& here = line.bars[bar];
        note.source.bar = here.number;
        note.source.bar_index = int(bar);
        note.source.beat =
            1.0 + std::max(0.0, note.start_quarter - here.start_quarter) * here.beat_type / 4.0;
    }
}

} // namespace canebrake
