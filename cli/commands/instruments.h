// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/run.h"
#include "models/instruments/family.h"

#include <CLI/CLI.hpp>

#include <string>

namespace canebrake
{

/// What `canebrake instruments` was asked: the whole family, or one member.
struct InstrumentsRequest {
    const FamilyMember* member = nullptr; ///< nullptr: all
    bool json = false;
};

/// The words of `canebrake instruments`.
class InstrumentsOptions
{
public:
    explicit InstrumentsOptions(CLI::App& command);
    InstrumentsOptions(const InstrumentsOptions&) = delete; // the command points into this
    InstrumentsOptions& operator=(const InstrumentsOptions&) = delete;

    /// InputError (Fault::usage) if the name is not in the family.
    InstrumentsRequest request() const;

private:
    std::string name_;
    bool json_ = false;
};

/// Prints the family as a table, one member in detail, or either as JSON.
void instruments(const InstrumentsRequest&, const Console&);

/// The family at a glance, at most 80 columns.
std::string family_table();
/// One member, at most 80 columns.
std::string member_page(const FamilyMember&);
/// Schema "canebrake-instruments", version 1: README.md describes each field. `member` nullptr: all.
std::string family_json(const FamilyMember* member);

/// As a clarinettist spells it: Eb and Bb, C#, F# and G#.
std::string written_name(WrittenPitch);
/// A member's note as it sounds: flats where its key has them.
std::string sounding_name(const FamilyMember&, WrittenPitch);

} // namespace canebrake
