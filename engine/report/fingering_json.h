// SPDX-License-Identifier: MIT
#pragma once

#include "engine/fingering/question.h"

#include <string>

namespace canebrake
{

/// Schema "canebrake-fingering", version 1.
std::string fingering_json(const FingeringAnswer&, const Instrument&, const FingeringQuestion&);

} // namespace canebrake
