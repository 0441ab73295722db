// SPDX-License-Identifier: MIT
#include "cli/commands/fingering/fingering.h"

#include "cli/commands/fingering/text.h"
#include "engine/fingering/svg.h"
#include "engine/report/fingering_json.h"
#include "engine/storage/whole_file.h"

#include <ostream>

namespace canebrake
{

void fingering(const FingeringRequest& request, const Console& console)
{
    const Instrument& instrument = instrument_of(request);
    const FingeringAnswer found = answer_of(request, instrument);
    if (request.picture)
        write_whole(*request.picture, fingering_svg(found, instrument));
    console.out << (request.json ? fingering_json(found, instrument, request)
                                 : fingering_text(found, instrument, request.utf8))
                << std::flush;
}

} // namespace canebrake
