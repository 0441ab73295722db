// SPDX-License-Identifier: MIT
#include "cli/commands/remedy/remedy.h"

#include "cli/commands/remedy/text.h"
#include "cli/options/opened.h"
#include "cli/terminal/columns.h"
#include "cli/terminal/watching.h"
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
    const Remedies remedies(opened(request).score(), request);
    const auto all = clarinets_for(remedies.room());
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
    const Bench bench = opened(request);
    const Remedies remedies(bench.score(), request);
    Watching watching(console);
    if (!request.take.empty())
        return write_remedies(TakenRemedies(remedies, request.take, request, watching.watch()), bench,
                              request, console);
    const RemedyReport report = remedies.find(request.spot, request.most, watching.watch());
    console.out << (request.json ? remedy_json(report, request) : remedy_text(report, request)) << std::flush;
}

} // namespace canebrake
