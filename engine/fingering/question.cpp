// SPDX-License-Identifier: MIT
#include "engine/fingering/question.h"

#include "engine/telling/names.h"
#include "models/instruments/family.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <cctype>
#include <cstdlib>
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
    note.printed_step = int(step_letters.find(char(std::toupper(name[0]))));
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

} // namespace

const Instrument& instrument_of(const FingeringQuestion& question)
{
    const FamilyMember* member = member_named(question.instrument); // by its aliases too: Bb, Es
    return instrument_named(member != nullptr ? member->name : question.instrument);
}

FingeringAnswer answer_of(const FingeringQuestion& question, const Instrument& instrument)
{
    const AskedNote first = asked(question.notes[0], instrument, question.sounding);
    const Kit& kit = question.kit;
    if (question.notes.size() == 1)
        return answer_note(first, Chart(instrument, kit));
    const AskedNote second = asked(question.notes[1], instrument, question.sounding);
    const int apart = std::abs(second.written.number - first.written.number);
    if (apart == 0)
        throw InputError(fmt::format("found {} twice, wanted two different notes", question.notes[0]),
                         Fault::usage);
    if (question.trill && apart > widest_trill)
        throw InputError(
            fmt::format("--trill: found notes {} semitones apart, wanted {} at most", apart, widest_trill),
            Fault::usage);
    TrillBook book(instrument, kit);
    if (question.trill)
        return answer_trill(first, second, book, kit);
    return answer_slur(first, second, book, kit);
}

} // namespace canebrake
