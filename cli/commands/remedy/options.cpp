// SPDX-License-Identifier: MIT
#include "cli/commands/remedy/options.h"

#include "cli/options/option_values.h"
#include "cli/terminal/locale.h"
#include "engine/files/phrase/read_phrase.h"
#include "models/instruments/family.h"

#include <CLI/CLI.hpp>

#include <algorithm>
#include <sstream>

namespace canebrake
{
namespace
{

constexpr int most_remedies = 12;

int whole_number(std::string_view option, const std::string& text, int least, int most, const char* wanted)
{
    const auto value = number_in<int>(text);
    if (!value || *value < least || *value > most)
        refuse(option, text, wanted);
    return *value;
}

/// "2.1": the spot's number and the remedy's; several with commas.
std::vector<RemedyNumber> take_in(const std::string& text)
{
    const auto off = [&] {
        refuse("--take", text, "remedies' numbers as they are told, such as 2.1 or 1.1,4.2");
    };
    std::vector<RemedyNumber> all;
    std::istringstream items(text);
    for (std::string item; std::getline(items, item, ',');) {
        const std::size_t point = item.find('.');
        if (point == std::string::npos)
            off();
        const auto spot = number_in<int>(std::string_view(item).substr(0, point));
        const auto remedy = number_in<int>(std::string_view(item).substr(point + 1));
        if (!spot || !remedy || *spot < 1 || *remedy < 1 || *remedy > most_remedies)
            off();
        const RemedyNumber number{*spot, *remedy};
        if (std::any_of(all.begin(), all.end(), [&](const RemedyNumber& n) { return n.spot == number.spot; }))
            refuse("--take", text, "one remedy a spot");
        all.push_back(number);
    }
    if (all.empty() || text.ends_with(','))
        off();
    return all;
}

} // namespace

RemedyOptions::RemedyOptions(CLI::App& command) : line_(command, LineUse::judges)
{
    const auto option = [&](const char* names, std::string& target, const char* type, const char* group,
                            const char* text) {
        return command.add_option(names, target, text)->type_name(type)->group(group);
    };
    const char* const what = "What is told";
    option("--spot", spot_, "NUMBER", what, "One spot only, by its number in canebrake spots");
    option("--most", most_, "1-12", what, "At most so many remedies a spot (3)");
    command
        .add_flag("--which-clarinet", which_, "Instead: the clarinets compared for this passage,\nbest first")
        ->group(what);
    command.add_flag("--json", json_, "As JSON (README)")->group(what);
    const char* const where = "What is written";
    option("--take", take_, "1.1,4.2", where,
           "The whole part with this remedy in it, or with\nseveral, into -o");
    option("--for-instrument", for_instrument_, "NAME", where,
           "Instead: the part as it is, transposed and spelled\nfor this clarinet, into -o");
    option("-o", destination_, "OUT", where, "Sound, .wav, or a part, .musicxml or .mxl");
    command.get_formatter()->column_width(28);
    command.footer("Each remedy was made in the line, and the music around it judged again, by ear\n"
                   "too. The order: how little it changes the music, against how much it helps;\n"
                   "least intrusive are fingering, tongue or slur, dynamic and breath, then a second\n"
                   "player, another clarinet, another octave, a slower tempo, other notes. Breath,\n"
                   "endurance and compass are the player's and the teacher's to decide.\n\n" +
                   phrase_grammar());
}

RemedyRequest RemedyOptions::request() const
{
    RemedyRequest request{line_.request("remedy")};
    if (!spot_.empty())
        request.spot =
            whole_number("--spot", spot_, 1, 100000, "a spot's number as canebrake spots tells it");
    if (!most_.empty())
        request.most = std::size_t(whole_number("--most", most_, 1, most_remedies, "1 to 12"));
    request.which_clarinet = which_;
    request.json = json_;
    request.utf8 = locale_is_utf8();
    if (!for_instrument_.empty()) {
        const FamilyMember* member = member_named(for_instrument_);
        if (member == nullptr)
            refuse("--for-instrument", for_instrument_, family_names());
        request.for_instrument = member->name;
    }
    if (!take_.empty()) {
        request.take = take_in(take_);
        if (request.spot > 0 && (request.take.size() > 1 || request.take.front().spot != request.spot))
            refuse("--take", take_, "a remedy of the spot that --spot names");
    }
    if (int(which_) + int(!take_.empty()) + int(!for_instrument_.empty()) > 1)
        throw InputError("found several of --which-clarinet, --take and --for-instrument, wanted one of them",
                         Fault::usage);
    const bool writes = !take_.empty() || !for_instrument_.empty();
    if (writes && destination_.empty())
        throw InputError("found no destination, wanted -o OUT.musicxml or OUT.wav", Fault::usage);
    if (!writes && !destination_.empty())
        refuse("-o", destination_, "it together with --take or --for-instrument");
    if (!take_.empty())
        request.destination = line_.destination("-o", destination_, {".wav", ".musicxml", ".xml", ".mxl"});
    else if (writes)
        request.destination = line_.destination("-o", destination_, {".musicxml", ".xml", ".mxl"});
    return request;
}

} // namespace canebrake
