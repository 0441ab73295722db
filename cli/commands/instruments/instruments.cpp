// SPDX-License-Identifier: MIT
#include "cli/commands/instruments/instruments.h"

#include "cli/commands/instruments/text.h"
#include "engine/report/instruments_json.h"
#include "models/units/input_error.h"

#include <CLI/CLI.hpp>

#include <ostream>

namespace canebrake
{

InstrumentsOptions::InstrumentsOptions(CLI::App& command)
{
    command.add_option("NAME", name_, "One of the family, such as bass; all if left out")->type_name("");
    command.add_flag("--json", json_, "The answer as JSON");
}

InstrumentsRequest InstrumentsOptions::request() const
{
    InstrumentsRequest request;
    request.json = json_;
    if (!name_.empty() && (request.member = member_named(name_)) == nullptr)
        throw InputError("found instrument '" + name_ + "', wanted " + family_names(), Fault::usage);
    return request;
}

void instruments(const InstrumentsRequest& request, const Console& console)
{
    console.out << (request.json     ? family_json(request.member)
                    : request.member ? member_page(*request.member)
                                     : family_table())
                << std::flush;
}

} // namespace canebrake
