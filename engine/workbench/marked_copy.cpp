// SPDX-License-Identifier: MIT
#include "engine/workbench/marked_copy.h"

#include "engine/files/writing/annotate_musicxml.h"
#include "engine/files/writing/musicxml_pack.h"
#include "engine/files/writing/write_musicxml.h"
#include "engine/part/casting.h"
#include "engine/spelling/key.h"
#include "engine/spelling/transposed.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <cmath>

namespace canebrake
{
namespace
{

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
std::vector<Annotation> annotations(const PartReport& part, const CopyRequest& request)
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

/// A part of its own, at written pitch.
std::string part_written(const Bench& bench, const Line& line, const std::vector<Annotation>& marks,
                         const LineRequest& request, std::vector<std::string>& remarks)
{
    const Casting casting = cast(line, request.instrument, request.on);
    const Casting::Stretch& first = casting.stretches.front();
    const FamilyMember& member = *member_named(first.played_on.empty() ? "B-flat" : first.played_on);
    Line page = line;
    set_pitch_basis(page, request.pitch, first.printed != nullptr ? first.printed->transposition : 0);
    const bool as_printed = bench.typed() && request.pitch != PitchBasis::sounding;
    if (!as_printed || (first.printed != nullptr && first.printed->transposition != member.transposition))
        page = transpose_line(page, member.transposition);
    PartLayout layout;
    layout.title = bench.title();
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

std::string marked_copy(const Bench& bench, const SpotsReport& report, const LineRequest& request,
                        const CopyRequest& copy, std::vector<std::string>& remarks)
{
    if (!bench.is_musicxml()) {
        if (report.parts.size() != 1)
            throw InputError("a marked copy: found several parts that are no MusicXML, wanted one: choose it "
                             "with --part",
                             Fault::needs_choice);
        const std::string page = part_written(bench, report.lines.front(),
                                              annotations(report.parts.front(), copy), request, remarks);
        return copy.packed ? musicxml::pack(page) : page;
    }
    std::vector<Annotation> all;
    for (const PartReport& part : report.parts) {
        const auto marks = annotations(part, copy);
        all.insert(all.end(), marks.begin(), marks.end());
    }
    return annotate_musicxml(bench.bytes(), std::filesystem::path(bench.name()).filename().string(), all,
                             copy.packed, remarks);
}

} // namespace canebrake
