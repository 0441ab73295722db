// SPDX-License-Identifier: MIT
#include "cli/commands/play/options.h"

#include "cli/commands/play/bars.h"
#include "cli/commands/play/keys.h"
#include "cli/options/option_values.h"
#include "engine/files/phrase/read_phrase.h"

#include <CLI/CLI.hpp>

namespace canebrake
{
namespace
{

const char* const caution =
    "Your ears: it starts 12 dB down, fades in and never passes a ceiling, but your\n"
    "amplifier decides how loud that is. Turn it down before you begin, headphones\n"
    "most of all, and come up on something loud. If it is ever too much, press t.\n\n";

} // namespace

PlayOptions::PlayOptions(CLI::App& command) : line_(command)
{
    const auto option = [&](const char* names, std::string& target, const char* type, const char* group,
                            const char* text) {
        return command.add_option(names, target, text)->type_name(type)->group(group);
    };
    option("--from-bar", from_bar_, "NUMBER", LineOptions::what,
           "Begin there; what is before can still be reached");
    option("--loop", loop_, "12-14", LineOptions::what, "These bars over and over, in time");
    option("--room", room_, "SIZE", LineOptions::who, "none (default), small or large, as render has them");

    const char* const where = "Where it sounds";
    device_given_ = option("--device", device_, "DEVICE", where, "Number, name or part of a name");
    command.add_flag("--list-devices", list_, "Say what devices there are, and end")->group(where);
    option("--gain", gain_, "-60-0", where, "Decibels (-12); 0: as render writes it");
    option("--rate", rate_, "44100-192000", where,
           "Samples a second (48000, or what the device has\nnearest to it)");
    option("--delay", delay_, "20-500", where,
           "Milliseconds that the device holds ready (80):\nfewer answer faster, more never stutter");
    record_given_ =
        option("--record", record_, "OUT.wav", where, "Keep what went out, as float; pauses left out");
    command.get_formatter()->column_width(28);
    command.footer(caution + key_help() + "\n" + phrase_grammar());
}

PlayRequest PlayOptions::request() const
{
    PlayRequest request;
    if (list_) {
        request.list_devices = true;
        return request;
    }
    static_cast<LineRequest&>(request) = line_.request("play");
    if (device_given_->count() > 0 && device_.empty())
        refuse("--device", device_, "a number or a name; canebrake play --list-devices says which");
    request.device = device_;
    if (!gain_.empty())
        request.gain.value = number_within("--gain", gain_, -60, 0, "decibels");
    if (!delay_.empty())
        request.delay.value = 1e-3 * number_within("--delay", delay_, 20, 500, "milliseconds");
    if (!rate_.empty()) {
        const auto rate = number_in<unsigned>(rate_);
        if (!rate || *rate < 44100 || *rate > 192000)
            refuse("--rate", rate_, "44100 to 192000 samples a second, a whole number");
        request.rate = *rate;
    }
    if (record_given_->count() > 0)
        request.record = line_.destination("--record", record_, {".wav"});
    if (!loop_.empty()) {
        request.round = bar_numbers(loop_);
        if (!request.round)
            refuse("--loop", loop_, "first and last bar, the lower number first, such as 12-14, or one bar");
    }
    if (!from_bar_.empty()) {
        const auto bar = bar_numbers(from_bar_);
        if (!bar || bar->first != bar->second)
            refuse("--from-bar", from_bar_, "a bar's printed number");
        request.from_bar = bar->first;
    }
    if (!room_.empty())
        request.settings.room = one_of<Room>(
            "--room", room_, {{"none", Room::none}, {"small", Room::small}, {"large", Room::large}});
    return request;
}

} // namespace canebrake
