// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/remedy_options.h"
#include "cli/commands/remedy_search.h"
#include "cli/commands/run.h"
#include "cli/commands/spot_report.h"

#include <string>
#include <vector>

namespace canebrake
{

/// A spot as it is told, and the ways around it.
struct ToldRemedies {
    SpotReport told;
    SpotRemedies found;
    bool searched = false; ///< false: not a matter of how it is played, but of who plays or what is printed
};

struct RemedyReport {
    std::string part_name, instrument;
    std::size_t spots = 0; ///< in all
    std::vector<ToldRemedies> all;
    std::vector<std::string> remarks;
};

/// `canebrake remedy`: ways around the rough places of a line, each judged again. Throws InputError, or
/// BrokenOff.
void remedy(const RemedyRequest&, const Console&);

/// Within 80 columns.
std::string remedy_text(const RemedyReport&, const RemedyRequest&);
/// Schema "canebrake-remedy" version 1. One object: `line` (file or phrase), `player`, `reading`,
/// `part_name`, `instrument`, `spot_count`, `remarks`, and `spots`: each with `number`, `cause`, `grade`,
/// `bar`, `beat`, `sentence`, `times`, `changes_tried`, `heard` and `remedies`: each with `number` ("2.1"),
/// `kind`, `what`, `price`, `grade_before`, `grade_after`, `left` (the cause of what is still rough there, or
/// null), `heard_before`, `heard_after`, `rate_before`, `rate_after` (notes, strokes or seconds, as the cause
/// counts), `quarter_tempo`, `instrument`, `passage` (of another instrument: bars and rough places before and
/// after), `everywhere`, `score`.
std::string remedy_json(const RemedyReport&, const RemedyRequest&);

/// Writes the part with a remedy in it, as sound or as a page, judged again as a whole; says what was written
/// and what has become of its spots.
void write_remedy(const TrialRoom&, const JudgedPart&, const ToldRemedies&, const RemedyRequest&,
                  const Console&);

/// `--for-instrument`: the part written out for one clarinet.
void write_for_instrument(const RemedyRequest&, const Console&);

/// `--which-clarinet`.
void which_clarinet(const RemedyRequest&, const Console&);

} // namespace canebrake
