// SPDX-License-Identifier: MIT
#include "cli/commands/render/options.h"

#include "cli/options/option_values.h"
#include "engine/files/phrase/read_phrase.h"

#include <CLI/CLI.hpp>

#include <cmath>

namespace canebrake
{

RenderOptions::RenderOptions(CLI::App& command) : line_(command)
{
    const auto option = [&](const char* names, std::string& target, const char* type, const char* group,
                            const char* text) {
        return command.add_option(names, target, text)->type_name(type)->group(group);
    };
    const char* const who = LineOptions::who;
    option("--room", room_, "SIZE", who,
           "none (default), small: a room to practise in,\n"
           "large: a small hall; its tail is added to the end");
    command.add_flag("--strict", strict_, "Refuse notes off the instrument instead of\nleaving them silent")
        ->group(who);

    const char* const where = "What is written";
    option("-o", destination_, "OUT.wav", where, "The sound, mono");
    option("--rate", rate_, "44100-192000", where, "Samples a second (48000)");
    option("--bits", bits_, "KIND", where, "16, 24 or float (24)");
    events_given_ = option("--events", events_, "OUT.json", where, "What was played and measured, by note");
    command.get_formatter()->column_width(28);
    command.footer(phrase_grammar());
}

RenderRequest RenderOptions::request() const
{
    RenderRequest request{line_.request("render"), {}, {}};
    if (destination_.empty())
        throw InputError("found no destination, wanted -o OUT.wav", Fault::usage);
    request.destination = line_.destination("-o", destination_, {".wav"});
    if (events_given_->count() > 0)
        request.events = line_.destination("--events", events_, {".json"});
    request.strict = strict_;
    RenderSettings& settings = request.settings;
    if (!room_.empty())
        settings.room = one_of<Room>("--room", room_,
                                     {{"none", Room::none}, {"small", Room::small}, {"large", Room::large}});
    if (!rate_.empty()) {
        settings.rate.value = number_within("--rate", rate_, 44100, 192000, "samples a second");
        if (settings.rate.value != std::floor(settings.rate.value))
            refuse("--rate", rate_, "a whole number of samples a second");
    }
    request.format = one_of<SampleFormat>(
        "--bits", bits_,
        {{"16", SampleFormat::pcm16}, {"24", SampleFormat::pcm24}, {"float", SampleFormat::float32}});
    return request;
}

} // namespace canebrake
