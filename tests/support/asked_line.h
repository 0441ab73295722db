// SPDX-License-Identifier: MIT
#pragma once

#include "cli/options/opened.h"
#include "engine/part/choose_part.h"

namespace canebrake::test
{

/// The line a request asks for, as the commands read it.
inline Line asked_line(const LineRequest& request)
{
    return choose_part(opened(request).score(), request.part);
}

} // namespace canebrake::test
