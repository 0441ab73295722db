// SPDX-License-Identifier: MIT
#include "cli/commands/spots/options.h"

#include "cli/options/option_values.h"
#include "cli/terminal/locale.h"
#include "engine/files/phrase/read_phrase.h"

#include <CLI/CLI.hpp>

#include <sstream>

namespace canebrake
{
namespace
{

constexpr int most_spots = 100000;

Grade grade_named(std::string_view option, const std::string& text)
{
    return one_of<Grade>(
        option, text,
        {{"awkward", Grade::awkward}, {"risky", Grade::risky}, {"unplayable", Grade::unplayable}});
}

} // namespace

SpotsOptions::SpotsOptions(CLI::App& command) : line_(command, LineUse::judges)
{
    const auto option = [&](const char* names, std::string& target, const char* type, const char* group,
                            const char* text) {
        return command.add_option(names, target, text)->type_name(type)->group(group);
    };
    const char* const what = "What is told";
    option("--min", least_, "GRADE", what,
           "awkward (default), risky or unplayable: leave out\nwhat is milder");
    command.add_flag("--json", json_, "As JSON (README), all grades from --min on")->group(what);
    option("--fail-on", fail_on_, "GRADE", what, "Exit code 7 if a spot is as bad as this");
    option(
        "--waive", waive_, "1,4-6", what,
        "These spots are accepted: kept in a list beside\nthe line, LINE.waived.json, and not told again;\n"
        "'all' takes every one of them");
    option("--because", reason_, "WORDS", what, "Why they are accepted; kept in the list");
    const char* const copy = "A copy with words in it";
    copy_given_ = option("--annotate", copy_, "OUT", copy,
                         "The part again, .musicxml or .mxl, with short words\nbelow the staff at the spots");
    option("--for", for_, "READER", copy,
           "writer (default): the reasons; player: hands,\nfingerings, breaths and changes only");
    command.get_formatter()->column_width(28);
    command.footer("Severity: easy, right every time (not told). awkward: right, but it costs\n"
                   "attention or tone. risky: fails about one time in five, or needs practice.\n"
                   "unplayable: by nobody, as written. Advice on compass and endurance is the\n"
                   "player's and the teacher's to give.\n\n" +
                   phrase_grammar());
}

SpotsRequest SpotsOptions::request() const
{
    SpotsRequest request{line_.request("spots")};
    if (!least_.empty())
        request.least = grade_named("--min", least_);
    if (!fail_on_.empty())
        request.fail_on = grade_named("--fail-on", fail_on_);
    request.json = json_;
    request.utf8 = locale_is_utf8();
    if (copy_given_->count() > 0)
        request.copy = line_.destination("--annotate", copy_, {".musicxml", ".xml", ".mxl"});
    if (!for_.empty()) {
        request.for_player = one_of<bool>("--for", for_, {{"writer", false}, {"player", true}});
        if (!request.copy)
            refuse("--for", for_, "it together with --annotate");
    }
    if (!waive_.empty() && request.phrase)
        refuse("--waive", waive_, "a file: a typed phrase has no list beside it");
    if (!reason_.empty() && waive_.empty())
        refuse("--because", reason_, "it together with --waive");
    request.reason = reason_;
    request.waive_all = waive_ == "all";
    if (!waive_.empty() && !request.waive_all) {
        std::istringstream items(waive_);
        for (std::string item; std::getline(items, item, ',');) {
            const std::size_t dash = item.find('-');
            const auto first = number_in<int>(std::string_view(item).substr(0, dash));
            const auto last =
                dash == std::string::npos ? first : number_in<int>(std::string_view(item).substr(dash + 1));
            if (!first || !last || *first < 1 || *last < *first || *last > most_spots)
                refuse("--waive", waive_, "numbers of spots as they are told, such as 1,4-6, or all");
            for (int i = *first; i <= *last; ++i)
                request.waive.push_back(i);
        }
    }
    return request;
}

} // namespace canebrake
