// SPDX-License-Identifier: MIT
#include "cli/commands/render_options.h"

#include "cli/read/kit_file.h"
#include "models/instruments/family.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <string_view>

namespace canebrake
{
namespace
{

[[noreturn]] void refuse(std::string_view option, std::string_view found, const std::string& wanted)
{
    throw InputError(fmt::format("{}: found '{}', wanted {}", option, found, wanted), Fault::usage);
}

/// All of `text` as a number, or empty.
template <class Number> std::optional<Number> number_in(std::string_view text)
{
    Number value{};
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (text.empty() || error != std::errc() || end != text.data() + text.size())
        return {};
    return value;
}

double number_within(std::string_view option, const std::string& text, double low, double high,
                     std::string_view unit)
{
    const auto value = number_in<double>(text);
    if (!value || !(*value >= low && *value <= high)) // the first form refuses what is not a number too
        refuse(option, text, fmt::format("{} to {} {}", low, high, unit));
    return *value;
}

template <class Value, std::size_t count>
Value one_of(std::string_view option, const std::string& text,
             const std::array<std::pair<std::string_view, Value>, count>& choices)
{
    std::string wanted;
    for (std::size_t i = 0; i < count; ++i) {
        if (choices[i].first == text)
            return choices[i].second;
        wanted += fmt::format("{}{}", i == 0 ? "" : i + 1 == count ? " or " : ", ", choices[i].first);
    }
    refuse(option, text, wanted);
}

/// "12-20" or "12"; a pick-up bar prints 0.
std::pair<int, int> bars_in(const std::string& text)
{
    const std::size_t dash = text.find('-');
    const auto first = number_in<int>(std::string_view(text).substr(0, dash));
    const auto last =
        dash == std::string::npos ? first : number_in<int>(std::string_view(text).substr(dash + 1));
    if (!first || !last || *first < 0 || *last < *first)
        refuse("--bars", text, "first and last bar, the lower number first, such as 12-20, or one bar");
    return {*first, *last};
}

/// A destination must end as what it holds, so that a slip of the pen cannot replace the score.
std::filesystem::path named(std::string_view option, const std::string& text, std::string_view ending)
{
    std::filesystem::path path(text);
    std::string found = path.extension().string();
    std::transform(found.begin(), found.end(), found.begin(),
                   [](unsigned char c) { return char(std::tolower(c)); });
    if (found != ending)
        refuse(option, text, fmt::format("a file name that ends in {}", ending));
    return path;
}

/// The family's own name for what was asked for; empty stays empty.
std::string known(std::string_view option, const std::string& name)
{
    if (name.empty())
        return "";
    const FamilyMember* member = member_named(name);
    if (member == nullptr)
        refuse(option, name, family_names());
    return member->name;
}

} // namespace

RenderOptions::RenderOptions(CLI::App& command)
{
    command.add_option("LINE", line_, "MusicXML (plain or compressed) or a Standard MIDI File")
        ->type_name("");
    const auto option = [&](const char* names, std::string& target, const char* type, const char* group,
                            const char* text) {
        return command.add_option(names, target, text)->type_name(type)->group(group);
    };
    const char* const what = "What is played";
    phrase_given_ =
        option("--phrase", phrase_, "WORDS", what, "A typed phrase instead of LINE (grammar below)");
    part_given_ =
        option("--part", part_, "PART", what, "Number, id or name of a part, 'track 2', 'channel 3'");
    option("--bars", bars_, "12-20", what, "Only these bars, by printed number");
    option("--pitch", pitch_, "BASIS", what,
           "written or sounding: how printed notes are meant\n"
           "(MusicXML says itself; MIDI is sounding; a phrase written)");
    option("--tempo", tempo_, "10-400", what, "Quarter notes a minute at the start; later tempi follow");

    const char* const who = "Who plays";
    option("--instrument", instrument_, "NAME", who,
           "What the part is printed for, such as A or bass\n"
           "(as the file says; else B-flat)");
    option("--on", on_, "NAME", who,
           "What the player brings instead: the same sounding\n"
           "notes, on another clarinet");
    player_given_ = option("--player", player_, "WHO", who,
                           "ideal: even and seamless, what a keyboard promises\n"
                           "studio: a professional at ease (default)\n"
                           "learner: every crossing can be heard");
    kit_given_ = option("--kit", kit_, "KIT.toml", who,
                        "The player's kit: level, keys, breath, tongue;\n"
                        "--player wins over its level (assets/kits has one)");
    option("--a4", a4_, "HERTZ", who, "Pitch of A4, 380 to 500 (440)");
    option("--temperature", temperature_, "CELSIUS", who, "Air in the instrument, 0 to 40 (25)");
    option("--barrel", barrel_, "MILLIMETRES", who, "Barrel pulled out, 0 to 5 (0)");
    option("--room", room_, "SIZE", who,
           "none (default), small: a room to practise in,\n"
           "large: a small hall; its tail is added to the end");
    option("--seed", seed_, "NUMBER", who, "Another number, another take; the same, the same file (1)");
    command.add_flag("--strict", strict_, "Refuse notes off the instrument instead of leaving them silent")
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
    RenderRequest request;
    const bool typed = phrase_given_->count() > 0;
    if (typed && !line_.empty())
        throw InputError(fmt::format("found both '{}' and --phrase, wanted one of them", line_),
                         Fault::usage);
    if (!typed && line_.empty())
        throw InputError("found nothing to play, wanted a file or --phrase; see canebrake render --help",
                         Fault::usage);
    if (destination_.empty())
        throw InputError("found no destination, wanted -o OUT.wav", Fault::usage);
    request.line = line_;
    if (typed)
        request.phrase = phrase_;
    request.destination = named("-o", destination_, ".wav");
    if (events_given_->count() > 0)
        request.events = named("--events", events_, ".json");
    std::error_code error;
    if (!typed && std::filesystem::equivalent(line_, destination_, error))
        refuse("-o", destination_, "another file than the line itself");
    if (kit_given_->count() > 0 && std::filesystem::equivalent(kit_, destination_, error))
        refuse("-o", destination_, "another file than the kit");
    if (kit_given_->count() > 0 && request.events &&
        std::filesystem::equivalent(kit_, *request.events, error))
        refuse("--events", events_, "another file than the kit");
    if (!typed && request.events && std::filesystem::equivalent(line_, *request.events, error))
        refuse("--events", events_, "another file than the line itself");

    if (part_given_->count() > 0 && part_.empty())
        refuse("--part", part_, "a number, an id or a name");
    request.part = part_;
    if (!bars_.empty())
        request.bars = bars_in(bars_);
    request.pitch = typed ? PitchBasis::written : PitchBasis::as_file;
    if (!pitch_.empty())
        request.pitch = one_of("--pitch", pitch_,
                               std::array{std::pair{std::string_view("written"), PitchBasis::written},
                                          std::pair{std::string_view("sounding"), PitchBasis::sounding}});
    if (!tempo_.empty())
        request.tempo = number_within("--tempo", tempo_, 10, 400, "quarter notes a minute");
    request.instrument = known("--instrument", instrument_);
    request.on = known("--on", on_);
    request.strict = strict_;

    RenderSettings& settings = request.settings;
    if (kit_given_->count() > 0)
        settings.kit = read_kit(std::filesystem::path(kit_));
    if (player_given_->count() > 0)
        settings.kit.level = one_of("--player", player_,
                                    std::array{std::pair{std::string_view("ideal"), Player::ideal},
                                               std::pair{std::string_view("studio"), Player::studio},
                                               std::pair{std::string_view("learner"), Player::learner}});
    settings.player = settings.kit.level;
    if (!a4_.empty())
        settings.a4.value = number_within("--a4", a4_, 380, 500, "hertz");
    if (!temperature_.empty())
        settings.temperature.value = number_within("--temperature", temperature_, 0, 40, "degrees Celsius");
    if (!barrel_.empty())
        settings.barrel_m = 1e-3 * number_within("--barrel", barrel_, 0, 5, "millimetres");
    if (!room_.empty())
        settings.room = one_of("--room", room_,
                               std::array{std::pair{std::string_view("none"), Room::none},
                                          std::pair{std::string_view("small"), Room::small},
                                          std::pair{std::string_view("large"), Room::large}});
    if (!seed_.empty()) {
        const auto seed = number_in<std::uint64_t>(seed_);
        if (!seed)
            refuse("--seed", seed_, "a whole number from 0 to 18446744073709551615");
        settings.seed = *seed;
    }
    if (!rate_.empty()) {
        settings.rate.value = number_within("--rate", rate_, 44100, 192000, "samples a second");
        if (settings.rate.value != std::floor(settings.rate.value))
            refuse("--rate", rate_, "a whole number of samples a second");
    }
    request.format = one_of("--bits", bits_,
                            std::array{std::pair{std::string_view("16"), SampleFormat::pcm16},
                                       std::pair{std::string_view("24"), SampleFormat::pcm24},
                                       std::pair{std::string_view("float"), SampleFormat::float32}});
    return request;
}

} // namespace canebrake
