// SPDX-License-Identifier: MIT
// Real scores and the MusicXML test suite, changed in place: a census of their elements before and after.
#include "engine/files/editing/edit_musicxml.h"
#include "engine/files/musicxml/container.h"
#include "engine/files/musicxml/read_musicxml.h"
#include "engine/files/read.h"
#include "engine/spots/change.h"
#include "engine/workbench/bench.h"
#include "engine/workbench/taking.h"
#include "models/units/input_error.h"
#include "tests/workbench/census.h"

#include <catch2/catch.hpp>

#include <cstdlib>
#include <filesystem>
#include <vector>

using namespace canebrake;
using namespace canebrake::test;
namespace fs = std::filesystem;

namespace
{

/// Scores that are not part of this repository (DEVELOPERS.md, Tests).
std::vector<fs::path> real_scores()
{
    const char* folder = std::getenv("CANEBRAKE_SHARED");
    const fs::path scores =
        (folder ? fs::path(folder) : fs::path(__FILE__).parent_path() / "../../../shared") / "scores";
    std::vector<fs::path> files;
    std::error_code none;
    for (const auto& entry : fs::recursive_directory_iterator(scores, none))
        if (const auto ending = entry.path().extension();
            ending == ".mxl" || ending == ".xml" || ending == ".musicxml")
            files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    if (files.empty())
        WARN("skipped, no reference files");
    return files;
}

struct Tally {
    int edited = 0, refused = 0;
};

/// One change in one part: made in place with a census that differs in these elements alone, or refused in
/// words.
void change(const std::string& bytes, const Line& before, const Line& after, const std::set<std::string>& may,
            Tally& tally)
{
    std::vector<std::string> remarks;
    const auto result = edit_musicxml(bytes, "score", before, after, remarks);
    CHECK(result.has_value() == remarks.empty());
    if (!result) {
        ++tally.refused;
        return;
    }
    ++tally.edited;
    const std::set<std::string> changed = differing(musicxml::unpack(bytes, "score"), *result);
    for (const std::string& name : changed) {
        INFO(name);
        CHECK(may.contains(name));
    }
}

} // namespace

TEST_CASE("changes in real scores touch the elements they are about and no others", "[edit][real]")
{
    Tally slurs, pitches, dynamics;
    for (const fs::path& file : real_scores()) {
        INFO(file.filename().string());
        const std::string bytes = load_score(file);
        Score score;
        try {
            score = read_musicxml(bytes, "score");
        } catch (const InputError&) {
            continue; // some of the suite are no music
        }
        for (Line& line : score.parts) {
            if (line.notes.size() < 4)
                continue;
            for (std::size_t i = 0; i < line.notes.size(); ++i)
                line.notes[i].source.number = i;
            INFO("part " << line.part_id);
            const std::size_t middle = line.notes.size() / 2;
            const bool slurred = line.notes[middle].slurred_to_next;
            change(bytes, line, slurred ? tongued_after(line, middle) : slurred_into(line, middle + 1),
                   {"slur", "notations", "articulations", "staccato", "staccatissimo", "detached-legato"},
                   slurs);
            change(bytes, line, moved(line, {middle, middle}, 12),
                   {"fingering", "technical", "notations", "accidental", "alter"}, pitches);
            change(bytes, line, louder(line, {middle, middle}, 1.0),
                   {"direction",
                    "direction-type",
                    "dynamics",
                    "ppp",
                    "pp",
                    "p",
                    "mp",
                    "mf",
                    "f",
                    "ff",
                    "fff",
                    "sf",
                    "fp",
                    "sfz",
                    "fz",
                    "sfp",
                    "rf",
                    "rfz",
                    "other-dynamics",
                    "pppp",
                    "ffff"},
                   dynamics);
        }
    }
    for (const Tally& tally : {slurs, pitches, dynamics}) {
        INFO(tally.edited << " in place, " << tally.refused << " refused");
        CHECK(tally.refused <= tally.edited / 10);
    }
    WARN("in place/refused: slurs " << slurs.edited << '/' << slurs.refused << ", pitches " << pitches.edited
                                    << '/' << pitches.refused << ", dynamics " << dynamics.edited << '/'
                                    << dynamics.refused);
}

TEST_CASE("clarinet parts of real scores are transposed in place", "[edit][real]")
{
    for (const fs::path& file : real_scores()) {
        if (file.extension() != ".mxl")
            continue;
        INFO(file.filename().string());
        const Bench bench = Bench::of_file(load_score(file), file.filename().string());
        for (const PartListing& part : bench.parts()) {
            if (!part.for_clarinet)
                continue;
            LineRequest request;
            request.part = part.id;
            const PartForInstrument made = part_for_instrument(bench, request, *member_named("A"));
            for (const std::string& remark : made.remarks)
                UNSCOPED_INFO(remark);
            CHECK(made.remarks.empty());
            CHECK(read_musicxml(made.musicxml, "made").parts.size() == 1);
            CHECK(made.musicxml.find("<part-name>Clarinet in A</part-name>") != std::string::npos);
        }
    }
}
