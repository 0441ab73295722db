// SPDX-License-Identifier: MIT
#include "cli/commands/fingering.h"

#include "cli/commands/events.h"
#include "cli/commands/whole_file.h"
#include "models/instruments/family.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <cctype>
#include <ostream>
#include <string_view>

namespace canebrake
{
namespace
{

/// A typed note, as `spelled` wants it.
Note typed(const std::string& name)
{
    Note note;
    note.printed = pitch_number(name).value();
    note.printed_step = int(std::string_view("CDEFGAB").find(char(std::toupper(name[0]))));
    return note;
}

AskedNote asked(const std::string& name, const Instrument& instrument, bool sounding)
{
    const Note note = typed(name);
    AskedNote result;
    result.sounding = sounding ? note.printed : note.printed + instrument.transposition;
    result.written.number = result.sounding - instrument.transposition;
    result.written_name = spelled(note, result.written.number);
    result.sounding_name = spelled(note, result.sounding);
    if (instrument.primary(result.written) == nullptr)
        throw InputError(fmt::format("found {}, {} {}, wanted a note the {} has: written {} to {}", name,
                                     sounding ? "written" : "sounding",
                                     sounding ? result.written_name : result.sounding_name, instrument.title,
                                     pitch_name(instrument.fingerings.front().written.number),
                                     pitch_name(instrument.fingerings.back().written.number)),
                         Fault::off_range);
    return result;
}

FingeringAnswer answer(const FingeringRequest& request, const Instrument& instrument)
{
    const AskedNote first = asked(request.notes[0], instrument, request.sounding);
    const Kit& kit = request.kit;
    if (request.notes.size() == 1)
        return answer_note(first, Chart(instrument, kit));
    const AskedNote second = asked(request.notes[1], instrument, request.sounding);
    const int apart = std::abs(second.written.number - first.written.number);
    if (apart == 0)
        throw InputError(fmt::format("found {} twice, wanted two different notes", request.notes[0]),
                         Fault::usage);
    if (request.trill && apart > widest_trill)
        throw InputError(
            fmt::format("--trill: found notes {} semitones apart, wanted {} at most", apart, widest_trill),
            Fault::usage);
    TrillBook book(instrument, kit);
    if (request.trill)
        return answer_trill(first, second, book, kit);
    return answer_slur(first, second, book, kit);
}

} // namespace

void fingering(const FingeringRequest& request, const Console& console)
{
    const FamilyMember* member = member_named(request.instrument); // by its aliases too: Bb, Es
    const Instrument& instrument = instrument_named(member != nullptr ? member->name : request.instrument);
    const FingeringAnswer found = answer(request, instrument);
    if (request.picture) {
        WholeFile file(*request.picture);
        file.write(as_svg(found, instrument));
        file.finish();
    }
    console.out << (request.json ? as_json(found, instrument, request)
                                 : as_text(found, instrument, request.utf8))
                << std::flush;
}

} // namespace canebrake
