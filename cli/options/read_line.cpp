// SPDX-License-Identifier: MIT
#include "cli/options/read_line.h"

#include "engine/files/phrase/read_phrase.h"
#include "engine/files/read.h"

namespace canebrake
{

Score read_line(const LineRequest& request)
{
    return request.phrase ? read_phrase(*request.phrase) : read_score(request.line);
}

} // namespace canebrake
