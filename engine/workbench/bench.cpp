// SPDX-License-Identifier: MIT
#include "engine/workbench/bench.h"

#include "engine/comparison/lines.h"
#include "engine/files/phrase/read_phrase.h"
#include "engine/files/read.h"
#include "engine/files/writing/part_page.h"
#include "engine/files/writing/write_midi.h"
#include "engine/part/choose_part.h"
#include "engine/part/part_to_play.h"
#include "engine/part/printed_part.h"
#include "engine/score/score_parts.h"

#include <algorithm>
#include <filesystem>

namespace canebrake
{
namespace
{

/// The clarinet a line is for from its beginning, as far as the file says.
std::string clarinet_of(const Line& line)
{
    if (line.instruments.empty())
        return "";
    const FamilyMember* member = member_named(line.instruments.front().name);
    return member != nullptr ? member->title : "";
}

} // namespace

Bench Bench::of_file(std::string bytes, std::string name)
{
    Score score = read_score(bytes, name);
    return {std::move(bytes), std::move(name), false, std::move(score)};
}

Bench Bench::of_phrase(std::string phrase)
{
    Score score = read_phrase(phrase);
    return {std::move(phrase), "", true, std::move(score)};
}

bool Bench::is_musicxml() const
{
    return !typed_ && !bytes_.starts_with("MThd") && !bytes_.starts_with("RIFF");
}

std::string Bench::title() const
{
    return typed_ ? "Phrase" : std::filesystem::path(name_).stem().string();
}

std::vector<PartListing> Bench::parts() const
{
    const std::vector<std::size_t> clarinets = clarinet_parts(score_);
    std::vector<PartListing> all;
    for (std::size_t i = 0; i < score_.parts.size(); ++i) {
        const Line& line = score_.parts[i];
        const bool listed = std::find(clarinets.begin(), clarinets.end(), i) != clarinets.end();
        all.push_back({line.part_id, line.part_name, clarinet_of(line), line.notes.size(), line.bars.size(),
                       listed || (typed_ && !line.notes.empty())});
    }
    return all;
}

SpotsReport Bench::spots(const LineRequest& request, const Watch& watch) const
{
    TrillBooks books(request.settings.kit);
    return spots_of(score_, request, books, watch);
}

LinesReport Bench::compare(const ComparisonRequest& request, const Watch& watch) const
{
    return compare_lines(score_, request, watch);
}

std::string Bench::part_as_musicxml(const LineRequest& request, std::vector<std::string>& remarks) const
{
    TrillBooks books(request.settings.kit);
    const PartToPlay part = part_to_play(choose_part(score_, request.part), request, books);
    return page_of(written_for(part.line, part.casting), part.casting, title(), remarks);
}

std::string Bench::part_as_midi(const LineRequest& request) const
{
    TrillBooks books(request.settings.kit);
    PartToPlay part = part_to_play(choose_part(score_, request.part), request, books);
    const std::string& played_on = part.casting.at(0.0).played_on;
    const FamilyMember* member = member_named(played_on.empty() ? "B-flat" : played_on);
    place_grace_notes(part.line);
    write_out_ornaments(part.line);
    const std::string name = part.line.part_name.empty() ? member->title : part.line.part_name;
    return write_midi(title(), {{std::move(part.line), name, member->midi_program}});
}

} // namespace canebrake
