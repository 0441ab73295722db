// SPDX-License-Identifier: MIT
#include "cli/run.h"

#include "cli/commands/compare/compare.h"
#include "cli/commands/compare/options.h"
#include "cli/commands/fingering/fingering.h"
#include "cli/commands/fingering/options.h"
#include "cli/commands/instruments/instruments.h"
#include "cli/commands/play/play.h"
#include "cli/commands/remedy/remedy.h"
#include "cli/commands/render/options.h"
#include "cli/commands/render/render.h"
#include "cli/commands/spots/spots.h"
#include "cli/options/exit_codes.h"

#include <CLI/CLI.hpp>

#include <algorithm>
#include <array>
#include <functional>
#include <new>
#include <ostream>
#include <utility>

namespace canebrake
{
namespace
{

const char* const exit_code_text = R"(Exit codes:
  0  done, also when there were warnings
  1  a fault inside the program
  2  the call makes no sense: unknown words, values out of range
  3  the line cannot be read: missing, empty, damaged, not music
  4  the file has several parts: choose one with --part
  5  notes off the instrument: render with --strict, fingering always
  6  the destination cannot be written; what was there is untouched
  7  spots: some are as bad as --fail-on says
  8  play: there is no sound device, or it failed)";

/// One line of text, whatever a library put into it.
std::string one_line(std::string text)
{
    std::replace(text.begin(), text.end(), '\n', ' ');
    return text;
}

/// Reads the words of a call. True if they only ask for a help page or the version, which is then printed.
bool only_asked_about(CLI::App& app, std::span<const std::string> args, const Console& console)
{
    std::vector<std::string> words(args.rbegin(), args.rend()); // the order CLI11 takes them in
    try {
        app.parse(words);
    } catch (const CLI::CallForVersion&) {
        console.out << app.version() << std::endl;
        return true;
    } catch (const CLI::CallForHelp&) {
        console.out << app.help() << std::endl;
        return true;
    } catch (const CLI::ParseError& error) {
        const std::string page =
            app.get_subcommands().empty() ? "" : app.get_subcommands()[0]->get_name() + " ";
        throw InputError(one_line(error.what()) + "; see canebrake " + page + "--help", Fault::usage);
    }
    return false;
}

ExitCode obey(std::span<const std::string> args, const Console& console)
{
    CLI::App app("Canebrake plays a line written for the clarinet family on a physical model of\n"
                 "the instrument, so that its writer hears what a player will meet: the break, the\n"
                 "throat notes, the registers; and it answers for fingerings, slurs and trills.",
                 "canebrake");
    app.set_version_flag("--version", "canebrake " CANEBRAKE_VERSION, "Print the version");
    app.set_help_flag("-h,--help", "Print this help");
    app.footer(exit_code_text);
    app.get_formatter()->column_width(24);

    // What each command is called, and what it does once its words are read.
    RenderOptions render_options(*app.add_subcommand("render", "Play a line into a WAV file"));
    PlayOptions play_options(*app.add_subcommand("play", "Play a line on a sound device, now"));
    SpotsOptions spots_options(
        *app.add_subcommand("spots", "The places of a line that will cost rehearsal time"));
    RemedyOptions remedy_options(
        *app.add_subcommand("remedy", "Ways around the rough places, each judged again"));
    CompareOptions compare_options(
        *app.add_subcommand("compare", "Clarinets, players or recordings side by side"));
    FingeringOptions fingering_options(
        *app.add_subcommand("fingering", "Fingerings of a note, a slur or a trill, drawn"));
    InstrumentsOptions instruments_options(
        *app.add_subcommand("instruments", "The clarinet family: compass and tendencies"));
    ExitCode code = ExitCode::done;
    const std::array<std::pair<std::string, std::function<void()>>, 7> commands{{
        {"render", [&] { render(render_options.request(), console); }},
        {"play", [&] { code = play(play_options.request(), console); }},
        {"spots", [&] { code = spots(spots_options.request(), console); }},
        {"remedy", [&] { remedy(remedy_options.request(), console); }},
        {"compare", [&] { compare(compare_options.request(), console); }},
        {"fingering", [&] { fingering(fingering_options.request(), console); }},
        {"instruments", [&] { instruments(instruments_options.request(), console); }},
    }};
    const std::string wanted =
        "wanted a command: render, play, spots, remedy, compare, fingering or instruments; "
        "see canebrake --help";
    const auto named = [&](const std::string& word) {
        return std::any_of(commands.begin(), commands.end(), [&](const auto& c) { return c.first == word; });
    };

    if (!args.empty() && !args[0].starts_with('-') && !named(args[0]))
        throw InputError("found '" + one_line(args[0]) + "', " + wanted, Fault::usage);
    if (only_asked_about(app, args, console))
        return ExitCode::done;
    for (const auto& [name, obey_it] : commands)
        if (app.got_subcommand(name)) {
            obey_it();
            return code;
        }
    throw InputError("found no command, " + wanted, Fault::usage);
}

} // namespace

int run(std::span<const std::string> args, const Console& console) noexcept
{
    const auto say = [&](const std::string& text, ExitCode code) {
        console.err << "canebrake: " << text << std::endl;
        return int(code);
    };
    try {
        return int(obey(args, console));
    } catch (const InputError& error) {
        return say(error.what(), exit_code(error.fault()));
    } catch (const BrokenOff&) {
        return say("broken off; nothing was written", ExitCode::internal);
    } catch (const std::bad_alloc&) {
        return say("the memory does not suffice", ExitCode::internal);
    } catch (const std::exception& error) {
        return say(one_line(std::string("a fault of ours: ") + error.what()), ExitCode::internal);
    } catch (...) {
        return say("a fault of ours, of unknown kind", ExitCode::internal);
    }
}

} // namespace canebrake
