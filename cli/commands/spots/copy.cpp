// SPDX-License-Identifier: MIT
#include "cli/commands/spots/copy.h"

#include "engine/files/writing/annotate_musicxml.h"
#include "engine/files/writing/musicxml_pack.h"
#include "engine/files/writing/write_musicxml.h"
#include "engine/part/casting.h"
#include "engine/spelling/key.h"
#include "engine/spelling/transposed.h"
#include "engine/storage/whole_file.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <fstream>
#include <ostream>
#include <sstream>

namespace canebrake
{
namespace
{

std::string bytes_of(const std::filesystem::path& path)
{
    std::ifstream file(path, std::ios::binary);
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
}

bool is_midi(const std::string& bytes)
{
    return bytes.starts_with("MThd") || bytes.starts_with("RIFF");
}

/// A few words for the staff: the full sentence is on the terminal.
std::string writer_words(const SpotReport& spot)
{
    std::string words = fmt::format("{}: {}", title(spot.cause), word(spot.grade));
    if (!spot.assumed.empty())
        words += " if " + spot.assumed;
    if (spot.safe_tempo)
        words += fmt::format(", easy to {:.0f}", std::floor(*spot.safe_tempo));
    return words;
}

/// What is printed in a copy. Every place of a spot is marked; how it is played at the first only, since the
/// player may take another way elsewhere.
std::vector<Annotation> annotations(const PartReport& part, const SpotsRequest& request)
{
    std::vector<Annotation> all;
    const auto add = [&](const std::string& note, Annotation::Kind kind, const std::string& text) {
        if (!note.empty())
            all.push_back({note, kind, text});
    };
    for (const SpotReport& spot : part.spots) {
        if (spot.grade < request.least)
            continue;
        const std::string words = request.for_player ? spot.for_player : writer_words(spot);
        const bool hands_said = !spot.hands.empty();
        if (!words.empty() && !(request.for_player && hands_said)) {
            add(spot.at.source, Annotation::words, words);
            for (const SpotPlace& place : spot.again)
                add(place.source, Annotation::words, words);
        }
        for (const auto& [note, hand] : spot.hands)
            add(note, Annotation::fingering, hand);
        for (const std::string& note : spot.breathe_after)
            add(note, Annotation::breath, "");
    }
    return all;
}

std::string ending_of(const std::filesystem::path& path)
{
    std::string ending = path.extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(),
                   [](unsigned char c) { return char(std::tolower(c)); });
    return ending;
}

/// A part of its own, at written pitch.
std::string part_written(const Line& line, const std::vector<Annotation>& marks, const SpotsRequest& request,
                         std::vector<std::string>& remarks)
{
    const Casting casting = cast(line, request.instrument, request.on);
    const Casting::Stretch& first = casting.stretches.front();
    const FamilyMember& member = *member_named(first.played_on.empty() ? "B-flat" : first.played_on);
    Line page = line;
    set_pitch_basis(page, request.pitch, first.printed != nullptr ? first.printed->transposition : 0);
    const bool as_printed = request.phrase && request.pitch != PitchBasis::sounding;
    if (!as_printed || (first.printed != nullptr && first.printed->transposition != member.transposition))
        page = transpose_line(page, member.transposition);
    PartLayout layout;
    layout.title = request.phrase ? "Phrase" : request.line.stem().string();
    layout.part_name = line.part_name.empty() ? member.title : line.part_name;
    layout.sound_id = member.sound_ids.empty() ? "" : member.sound_ids.front();
    layout.midi_program = member.midi_program;
    layout.transposition = member.transposition;
    layout.keys = page.keys;
    layout.fifths = key_at(page.keys, 0.0);
    layout.annotations = marks;
    return write_musicxml(page, layout, remarks);
}

} // namespace

void write_copy(const SpotsReport& report, const SpotsRequest& request, const Console& console)
{
    const bool packed = ending_of(*request.copy) == ".mxl";
    std::vector<std::string> remarks;
    std::string copy;
    const std::string bytes = request.phrase ? "" : bytes_of(request.line);
    if (request.phrase || is_midi(bytes)) {
        if (report.parts.size() != 1)
            throw InputError(
                "--annotate: found several parts that are no MusicXML, wanted one: choose it with "
                "--part",
                Fault::needs_choice);
        copy =
            part_written(report.lines.front(), annotations(report.parts.front(), request), request, remarks);
        if (packed)
            copy = musicxml::pack(copy);
    } else {
        std::vector<Annotation> all;
        for (const PartReport& part : report.parts) {
            const auto marks = annotations(part, request);
            all.insert(all.end(), marks.begin(), marks.end());
        }
        copy = annotate_musicxml(bytes, request.line.filename().string(), all, packed, remarks);
    }
    WholeFile file(*request.copy);
    file.write(copy);
    file.finish();
    for (const std::string& remark : remarks)
        console.err << "canebrake: remark: " << remark << '\n';
    console.err << std::flush;
}

} // namespace canebrake
