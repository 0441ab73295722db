// SPDX-License-Identifier: MIT
#pragma once

#include "cli/options/parser.h"
#include "cli/terminal/console.h"
#include "models/instruments/family.h"

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

} // namespace canebrake
