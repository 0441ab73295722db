// SPDX-License-Identifier: MIT
#pragma once

#include "cli/commands/remedy/options.h"
#include "engine/remedy/remedies.h"
#include "engine/remedy/which_clarinet.h"

#include <string>
#include <vector>

namespace canebrake
{

/// Within 80 columns.
std::string remedy_text(const RemedyReport&, const RemedyRequest&);
std::string clarinets_text(const std::vector<Candidature>&);

} // namespace canebrake
