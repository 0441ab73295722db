// SPDX-License-Identifier: MIT
#include "cli/commands/remedy/remedy.h"

#include "cli/commands/remedy/text.h"
#include "cli/options/read_line.h"
#include "cli/terminal/columns.h"
#include "cli/terminal/watching.h"
#include "engine/part/choose_part.h"
#include "engine/report/clarinets_json.h"
#include "engine/report/remedy_json.h"

#include <ostream>

namespace canebrake
{
namespace
{

/// `--which-clarinet`.
void which_clarinet(const RemedyRequest& request, const Console& console)
{
    TrillBooks books(request.settings.kit);
    const TrialRoom room(choose_part(read_line(request), request.part), request, books);
    const auto all = clarinets_for(room);
    const std::string text = request.json ? clarinets_json(all) : clarinets_text(all);
    console.out << (request.json || request.utf8 ? text : plain_ascii(text)) << std::flush;
}

} // namespace

void remedy(const RemedyRequest& request, const Console& console)
{
    if (request.which_clarinet)
        return which_clarinet(request, console);
    if (!request.for_instrument.empty())
        return write_for_instrument(request, console);
    TrillBooks books(request.settings.kit);
    const Remedies remedies(read_line(request), request, books);
    RemedyReport report;
    {
        Watching watching(console);
        report = remedies.find(request.spot, request.most, watching.watch());
    }
    if (request.take.first > 0)
        return write_remedy(remedies, report.all.front(), request, console);
    console.out << (request.json ? remedy_json(report, request) : remedy_text(report, request)) << std::flush;
}

} // namespace canebrake
