// SPDX-License-Identifier: MIT
#include "cli/commands/fingering/options.h"

#include "cli/options/option_values.h"
#include "cli/terminal/locale.h"
#include "engine/files/kit_file.h"
#include "models/units/input_error.h"
#include "models/units/pitch.h"

#include <CLI/CLI.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cstdlib>

namespace canebrake
{
namespace
{

const char* const footer = R"(One note: every fingering of it, the usual one first, each with its keys, its
open holes, a drawing of the tube, its pitch and its colour.
Two notes: how the fingers go from the first to the second, how fast, and what
would be easier. With --trill: how to trill them, or to rock between them.

Names of notes: a letter, # or b, the octave: C5, F#4, Bb3. C4 is middle C.)";

} // namespace

FingeringOptions::FingeringOptions(CLI::App& command)
{
    command.add_option("NOTES", notes_, "One note, or two")->type_name("");
    command.add_flag("--trill", trill_, "The two notes are trilled, in either order");
    command
        .add_option("--instrument", instrument_,
                    "The clarinet in hand, as canebrake instruments\nnames it (B-flat)")
        ->type_name("NAME");
    kit_given_ = command
                     .add_option("--kit", kit_,
                                 "The player's kit: its levers and keys open ways, its\n"
                                 "level sets speeds (assets/kits has one)")
                     ->type_name("KIT.toml");
    command
        .add_option("--pitch", pitch_,
                    "written (default) or sounding: how the notes are\n"
                    "meant; the answer names both")
        ->type_name("BASIS");
    command.add_flag("--json", json_, "Answer in JSON, described in the README");
    command.add_flag("--ascii", ascii_, "Draw in ASCII; done unasked where the locale is\nnot UTF-8");
    picture_given_ =
        command.add_option("-o", picture_, "Draw the fingerings to print, too")->type_name("OUT.svg");
    command.get_formatter()->column_width(28);
    command.footer(footer);
}

FingeringRequest FingeringOptions::request() const
{
    FingeringRequest request;
    if (notes_.empty())
        throw InputError("found no note, wanted one or two, such as C5; see canebrake fingering --help",
                         Fault::usage);
    if (notes_.size() > 2)
        throw InputError(
            fmt::format("found {} notes, wanted one, or two for a slur or a trill", notes_.size()),
            Fault::usage);
    if (trill_ && notes_.size() != 2)
        throw InputError("--trill: found one note, wanted two", Fault::usage);
    for (const std::string& note : notes_)
        if (!pitch_number(note))
            throw InputError(fmt::format("found '{}', wanted a note, such as C5, F#4 or Bb3", note),
                             Fault::usage);
    if (pitch_ != "written" && pitch_ != "sounding")
        throw InputError(fmt::format("--pitch: found '{}', wanted written or sounding", pitch_),
                         Fault::usage);
    request.notes = notes_;
    request.trill = trill_;
    request.instrument = instrument_;
    if (kit_given_->count() > 0)
        request.kit = read_kit(std::filesystem::path(kit_));
    request.sounding = pitch_ == "sounding";
    request.json = json_;
    request.utf8 = !ascii_ && locale_is_utf8();
    if (picture_given_->count() > 0) {
        const std::filesystem::path path(picture_);
        if (ending_of(path) != ".svg")
            throw InputError(fmt::format("-o: found '{}', wanted a file name that ends in .svg", picture_),
                             Fault::usage);
        request.picture = path;
    }
    return request;
}

} // namespace canebrake
