// SPDX-License-Identifier: MIT
#include "cli/options/opened.h"

#include "engine/files/read.h"

namespace canebrake
{

Bench opened(const LineRequest& request)
{
    return request.phrase ? Bench::of_phrase(*request.phrase)
                          : Bench::of_file(load_score(request.line), request.line.string());
}

} // namespace canebrake
