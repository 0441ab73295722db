// SPDX-License-Identifier: MIT
#include "cli/commands/remedy/text.h"

#include "cli/terminal/columns.h"
#include "models/units/pitch.h"

#include <fmt/format.h>

#include <cstdlib>

namespace canebrake
{

std::string clarinets_text(const std::vector<Candidature>& all)
{
    std::string text = "Clarinets for this passage, best first. Shares are of the sounding time.\n\n"
                       " clarinet     reads     marks  written   chal thrt clar alts  awk risk none  off\n";
    for (const Candidature& c : all) {
        const std::string key =
            c.fifths == 0 ? "0"
                          : fmt::format("{} {}", std::abs(c.fifths),
                                        std::abs(c.fifths) == 1 ? (c.fifths > 0 ? "sharp" : "flat")
                                                                : (c.fifths > 0 ? "sharps" : "flats"));
        text += fmt::format(" {:<11}{} {:<9} {:>5}  {:<4} {:<3}", c.member->name, c.now ? "*" : " ", key,
                            c.accidentals, pitch_name(c.low, c.fifths < 0), pitch_name(c.high, c.fifths < 0));
        for (const double share : c.registers)
            text += fmt::format("{:>5.0f}", 100.0 * share);
        text += fmt::format("  {:>3} {:>4} {:>4} {:>4}\n", c.awkward, c.risky, c.unplayable, c.off);
    }
    text += "\n";
    for (const Candidature& c : all)
        text += fmt::format(" {:<12} ", c.member->name) + wrapped(c.words + '.', 14, 14) + '\n';
    return text + "\n" +
           wrapped("*: played on it now. reads: the key signature. marks: accidentals besides. chal, thrt, "
                   "clar, alts: per cent in chalumeau, throat, clarion, altissimo. awk, risk, none: awkward, "
                   "risky, and unplayable places. off: notes off the instrument.",
                   0, 0) +
           '\n';
}

} // namespace canebrake
